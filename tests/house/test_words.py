"""What no file of this project may carry: machine paths, things left open, tests that look away."""

import re
import subprocess

import pytest

from pipeline import resources

ROOT = resources.PACKAGE.parent
# The patterns are put together here, so that this file does not carry them either.
OPEN_ENDS = ("TO" + "DO", "FIX" + "ME", "XX" + "X", "NotImplemented" + "Error")
LOOKING_AWAY = ("x" + "fail", "pytest." + "skip(")
MACHINE_PATHS = (r"/ho" + r"me/\w", r"/ro" + r"ot/", r"/wo" + r"rk/", r"C:" + r"\\\\Users", r"/tm" + r"p/\w")
HOSTS = (r"index" + r"-url", r"extra-" + r"index", r"regis" + r"try=")
# One helper may skip, and only for an engine that is not installed.
MAY_SKIP = ("tests/engines.py",)


def tracked() -> list[str]:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode == 0:
        return sorted(name for name in listed.stdout.splitlines() if (ROOT / name).is_file())
    # An unpacked source archive has no history to ask.
    kinds = ("*.py", "*.sql", "*.toml", "*.md", "*.html", "*.css", "*.csv")
    return sorted({path.relative_to(ROOT).as_posix() for kind in kinds for path in ROOT.rglob(kind)})


def carrying(patterns: tuple[str, ...], *, but: tuple[str, ...] = ()) -> list[str]:
    pattern = re.compile("|".join(patterns))
    found = []
    for name in tracked():
        if name in but or name.endswith((".parquet", ".xlsx", ".png", ".gz")):
            continue
        for number, line in enumerate((ROOT / name).read_text(encoding="utf-8", errors="replace").splitlines(), 1):
            if pattern.search(line):
                found.append(f"{name}:{number}")
    return found


def test_nothing_is_left_open():
    assert carrying(tuple(rf"\b{word}\b" for word in OPEN_ENDS)) == []


def test_no_test_looks_away():
    assert carrying(tuple(re.escape(word) for word in LOOKING_AWAY), but=MAY_SKIP) == []


def test_no_path_of_one_machine():
    assert carrying(MACHINE_PATHS) == []


def test_no_package_host():
    assert carrying(HOSTS) == []


@pytest.mark.parametrize("line", [OPEN_ENDS[0] + ": later", "see " + "/ho" + "me/someone", "pip --index" + "-url x"])
def test_each_of_them_would_be_seen(line):
    assert re.search("|".join((*OPEN_ENDS, *MACHINE_PATHS, *HOSTS)), line)
