"""Where the files that are not Python lie: inside the wheel, or beside the package in a checkout."""

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent
# The wheel carries these folders in here (pyproject.toml); an editable install and a checkout have them one level up.
SHIPPED = PACKAGE / "shipped"


def _find(name: str) -> Path:
    for base in (SHIPPED, PACKAGE.parent):
        if (base / name).is_dir():
            return base / name
    raise FileNotFoundError(f"The folder {name} is missing beside the package {PACKAGE.name}: install it again.")


def sql_dir() -> Path:
    """One SELECT per file; the path below this folder is the relation's name."""
    return _find("sql")


def reports_dir() -> Path:
    """Page templates and the stylesheet."""
    return _find("reports")


def sample_dir() -> Path:
    """The invented caseload that `caseround demo` takes in."""
    return _find("sample_data")


def policy_dir() -> Path:
    """The shipped clinical policy; a workspace may override it file by file."""
    return PACKAGE / "policy"
