"""The documents say what is there: paths exist, commands are described, each dependency has its reason."""

import re
import tomllib

import pytest

from pipeline import resources
from pipeline.cli import main

ROOT = resources.PACKAGE.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
FOLDERS = ("pipeline/", "sql/", "reports/", "tests/", "sample_data/", ".ci/")


def paths(text: str) -> set[str]:
    """Everything in back-ticks that begins like a path of this repository; a part in <> or with * stands for any."""
    spoken = re.findall(r"`([^`\s]+)`", text)
    is_ours = [word for word in spoken if word.startswith(FOLDERS) or re.fullmatch(r"[A-Z]+\.md|pyproject\.toml", word)]
    return {word for word in is_ours if "<" not in word}


@pytest.mark.parametrize("path", sorted(paths(README) | paths(DEVELOPERS)))
def test_a_path_that_is_named_exists(path):
    assert list(ROOT.glob(path.rstrip("/"))), f"{path} is named and not there"


@pytest.mark.parametrize("command", sorted(main.commands))
def test_a_command_is_in_the_readme(command):
    assert f"`caseround {command}" in README


def test_the_readme_names_no_command_that_is_not_there():
    assert set(re.findall(r"caseround ([a-z]+)", README)) <= set(main.commands)


def test_the_two_commands_of_the_readme():
    assert "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/caseround demo" in README
    assert ".venv/bin/python -m pytest" in README


@pytest.mark.parametrize("code", [0, 1, 2, 10, 11, 12, 13, 14, 15, 16, 17, 130])
def test_an_exit_code_is_in_the_readme(code):
    assert f"| {code} |" in README


def dependencies() -> list[str]:
    extras = PROJECT["project"]["optional-dependencies"]
    stated = [*PROJECT["project"]["dependencies"], *(name for names in extras.values() for name in names)]
    return sorted({re.split(r"[\[<>=]", line)[0] for line in [*stated, *PROJECT["build-system"]["requires"]]})


@pytest.mark.parametrize("name", dependencies())
def test_a_dependency_has_its_sentence(name):
    assert re.search(rf"^- \*\*{re.escape(name)}\*\* .{{20,}}", DEVELOPERS, flags=re.MULTILINE), f"why {name}?"


def test_the_job_comes_before_everything_else():
    first = re.split(r"\n\s*\n", README)[1]
    assert "pressure" in first
    assert "`" not in first
