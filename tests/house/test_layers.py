"""Imports point one way, so that a step can be understood without the others."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from pipeline import resources

PACKAGE = resources.PACKAGE
# Lower numbers may be imported by higher ones. Steps share a number and may not import each other.
LAYERS = (
    {"errors", "instants", "resources", "log", "files", "settings_text", "bars"},
    {"feeds", "settings", "warehouse"},
    {"policy", "lock", "run_record", "tables"},
    {"scenario"},
    {"intake", "review", "report", "sample", "demo", "verify", "waiting", "asking"},
    {"jobs"},
    {"cli"},
)
RANK = {name: rank for rank, names in enumerate(LAYERS) for name in names}
STEPS = {"intake", "review", "report", "sample", "scenario"}
# The ground floor builds on itself, and settings read the feed table.
MAY_IMPORT_BESIDE = {("settings", "feeds"), ("settings", "settings_text")}


def modules(*, but: str = "") -> list[Path]:
    return sorted(path for path in PACKAGE.rglob("*.py") if path.name != but)


def name_of(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def part_of(path: Path) -> str:
    relative = path.relative_to(PACKAGE)
    return relative.parts[0].removesuffix(".py")


def imported_parts(tree: ast.AST) -> set[str]:
    names = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module == "pipeline":
            names |= {f"pipeline.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"relative import of {node.module}"
            names.add(node.module or "")
    return {name.split(".")[1] for name in names if name.startswith("pipeline.")} - {"__version__"}


def wrong_imports(path: Path) -> list[str]:
    part = part_of(path)
    if part == "__init__":
        return []
    wrong = []
    for other in sorted(imported_parts(ast.parse(path.read_text(encoding="utf-8"))) - {part}):
        points_down = RANK[other] < RANK[part] or (part, other) in MAY_IMPORT_BESIDE or RANK[part] == RANK[other] == 0
        if not points_down:
            wrong.append(f"{part} imports {other}")
    return wrong


def test_every_part_has_its_layer():
    assert {part_of(path) for path in modules()} - {"__init__"} <= set(RANK)


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_imports_point_down(path):
    assert wrong_imports(path) == []


def test_a_step_that_imports_another_would_be_seen(tmp_path, monkeypatch):
    monkeypatch.setattr(sys.modules[__name__], "PACKAGE", tmp_path)
    (tmp_path / "report.py").write_text("from pipeline.intake import take_in\n")
    assert wrong_imports(tmp_path / "report.py") == ["report imports intake"]


def test_help_loads_nothing_heavy():
    seen = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys\nfrom pipeline.cli import main\n"
            "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
            "print(sorted({'pandas', 'pandera', 'duckdb', 'pyarrow', 'sqlglot', 'jinja2'} & set(sys.modules)))",
        ],
        capture_output=True,
        text=True,
        check=True,
    )
    assert seen.stdout.splitlines()[-1] == "[]"


def clock_calls(tree: ast.AST) -> list[str]:
    asked = {"now", "utcnow", "today", "time_ns", "perf_counter", "monotonic"}
    calls = [node.func for node in ast.walk(tree) if isinstance(node, ast.Call)]
    return [
        f"{call.attr} in line {call.lineno}" for call in calls if isinstance(call, ast.Attribute) and call.attr in asked
    ]


@pytest.mark.parametrize("path", modules(but="cli.py"), ids=name_of)
def test_only_the_command_line_reads_the_clock(path):
    assert clock_calls(ast.parse(path.read_text(encoding="utf-8"))) == []


def disk_calls(tree: ast.AST) -> list[str]:
    found = []
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        owner = node.func.value.id if isinstance(node.func.value, ast.Name) else ""
        is_disk = (owner, node.func.attr) in {
            ("os", "replace"), ("os", "rename"), ("os", "remove"), ("os", "unlink"), ("os", "fsync"),
            ("shutil", "rmtree"), ("shutil", "move"),
        }  # fmt: skip
        # A path is renamed by position; a table's columns are renamed by keyword.
        is_path = node.func.attr in ("unlink", "rmdir") or (node.func.attr == "rename" and node.args)
        if is_disk or is_path:
            found.append(f"{owner}.{node.func.attr} in line {node.lineno}")
    return found


@pytest.mark.parametrize("path", modules(but="files.py"), ids=name_of)
def test_only_one_module_renames_syncs_and_deletes(path):
    assert disk_calls(ast.parse(path.read_text(encoding="utf-8"))) == []


def test_files_py_itself_would_be_seen():
    assert len(disk_calls(ast.parse((PACKAGE / "files.py").read_text(encoding="utf-8")))) >= 5
