"""Small files and small functions, so that a newcomer can hold each in the head."""

import ast
from pathlib import Path

import pytest

from pipeline import resources

ROOT = resources.PACKAGE.parent
FILE_LIMIT = 300
FUNCTION_LIMIT = 40
BAD_NAMES = ("util", "helper", "manager", "misc", "common")


def python_files() -> list[Path]:
    return sorted([*resources.PACKAGE.rglob("*.py"), *(ROOT / "tests").rglob("*.py")])


@pytest.mark.parametrize("path", python_files(), ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_file_stays_under_its_limit(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= FILE_LIMIT


def length(node: ast.FunctionDef) -> int:
    """Lines of the body without the docstring: a docstring that explains is no reason to split a function."""
    body = node.body
    has_docstring = isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant)
    docstring = (body[0].end_lineno - body[0].lineno + 1) if has_docstring else 0
    return node.end_lineno - node.lineno + 1 - docstring


@pytest.mark.parametrize("path", python_files(), ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_function_stays_under_its_limit(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)]
    assert [f"{node.name}: {length(node)} lines" for node in functions if length(node) > FUNCTION_LIMIT] == []


def test_no_module_is_a_drawer_for_odds_and_ends():
    names = [path.stem for path in resources.PACKAGE.rglob("*.py")]
    assert [name for name in names if any(bad in name for bad in BAD_NAMES)] == []


def arguments(node: ast.FunctionDef) -> int:
    positional = [argument.arg for argument in [*node.args.posonlyargs, *node.args.args]]
    # A connection that comes first is what the function acts on, as `self` would be.
    subjects = ("self", "cls", "con") if positional[:1] == ["con"] else ("self", "cls")
    return len([name for name in positional if name not in subjects])


def border_files() -> list[Path]:
    """All but the sample's generator, whose functions hand one source of chance along, and the command line, whose
    functions click calls by name."""
    return sorted(p for p in resources.PACKAGE.rglob("*.py") if p.parent.name != "scenario" and p.name != "cli.py")


@pytest.mark.parametrize("path", border_files(), ids=lambda path: path.relative_to(ROOT).as_posix())
def test_more_than_two_arguments_are_named_by_the_caller(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    # Somebody else calls these by position: whoever shows progress, and a template its filter.
    given = {"no_progress", "__call__", "counted"}
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef) and node.name not in given]
    public = [node for node in functions if not node.name.startswith("_")]
    assert [node.name for node in public if arguments(node) > 2] == []


def undocumented(tree: ast.Module) -> list[str]:
    public = [
        node for node in tree.body if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
    ]
    return [node.name for node in public if ast.get_docstring(node) is None]


@pytest.mark.parametrize("path", sorted(resources.PACKAGE.rglob("*.py")), ids=lambda p: p.relative_to(ROOT).as_posix())
def test_everything_public_has_a_docstring(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree), "the module has none"
    assert undocumented(tree) == []
