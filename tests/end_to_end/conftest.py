"""The installed program in an environment of its own, driven as a scheduler drives it."""

import json
import subprocess
import sys
import sysconfig
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

from pipeline import resources

ROOT = resources.PACKAGE.parent


@dataclass(frozen=True)
class Installed:
    """A fresh virtual environment that holds the wheel; `elsewhere` is a folder that knows nothing of the checkout."""

    bin: Path
    wheel: Path
    elsewhere: Path

    def run(self, *words: str, expect: int = 0) -> subprocess.CompletedProcess:
        """Run the console script from elsewhere and check its exit code."""
        ran = subprocess.run(
            [self.bin / "caseround", *words], cwd=self.elsewhere, capture_output=True, text=True, check=False
        )
        assert ran.returncode == expect, ran.stderr
        return ran

    def python(self, code: str) -> str:
        """What the environment's own Python prints."""
        line = [self.bin / "python", "-c", code]
        return subprocess.run(line, cwd=self.elsewhere, capture_output=True, text=True, check=True).stdout.strip()


@pytest.fixture(scope="session")
def installed(tmp_path_factory) -> Installed:
    """Build the wheel, install it without the network, and borrow this environment's packages for its dependencies."""
    place = tmp_path_factory.mktemp("installed")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(place / "dist")]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True)
    [wheel] = (place / "dist").glob("*.whl")
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(place / "venv")], check=True)
    python = place / "venv" / "bin" / "python"
    pip = [sys.executable, "-m", "pip", "--python", str(python), "install", "--quiet", "--no-deps", "--no-index"]
    subprocess.run([*pip, str(wheel)], check=True, capture_output=True)
    # A plain path line lends packages; the checkout's own editable install is not among what it lends.
    [site] = (place / "venv" / "lib").glob("python*/site-packages")
    (site / "borrowed.pth").write_text(sysconfig.get_paths()["purelib"] + "\n")
    (place / "elsewhere").mkdir()
    return Installed(python.parent, wheel, place / "elsewhere")


@pytest.fixture(scope="session")
def names_in_wheel(installed) -> set[str]:
    """Every file in the wheel."""
    with zipfile.ZipFile(installed.wheel) as wheel:
        return set(wheel.namelist())


@pytest.fixture(scope="session")
def labels(sample):
    """(kind, code) to the policy's words, of the sample."""
    return {(row.kind, row.code): row.label for row in sample.ask("SELECT * FROM policy.labels")}


@pytest.fixture(scope="session")
def receipts(sample):
    """What the store's own papers say of each file of the sample, which the warehouse never wrote."""
    return [json.loads(path.read_text()) for path in sorted(sample.root.glob("store/receipts/*.json"))]
