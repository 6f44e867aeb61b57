"""A workspace as small as the steps allow, because each of them is repeated for every call to the disk."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from pipeline import resources
from tests.contract.conftest import Desk, braden, client, injury, loan, placement

RECEIVED = ("--received-at", "2026-01-05T06:00:00Z")


def caseround(*words: str, workspace: Path) -> subprocess.CompletedProcess:
    """Run a command in a process of its own."""
    line = [sys.executable, "-c", "from pipeline.cli import main; main()", *words, "--workspace", str(workspace)]
    return subprocess.run(line, capture_output=True, text=True, check=False)


@pytest.fixture
def desk(tmp_path) -> Desk:
    """Two files with one held row, dropped and not yet taken in."""
    made = Desk(tmp_path / "desk")
    made.drop("clients.csv", [client("C-1"), client("C-2", age_years="seventy")])
    made.drop("placements.csv", [placement("C-1")])
    return made


@pytest.fixture
def full(desk) -> Desk:
    """Every feed that the first pages need, taken in and published."""
    desk.drop("assessments.csv", [braden("A-1", recorded_total=17)])
    desk.drop("injuries.csv", [injury("O-1")])
    desk.drop("loans.csv", [loan("L-1")])
    ran = caseround("run", *RECEIVED, workspace=desk.root)
    assert ran.returncode == 0, ran.stderr
    return desk


@pytest.fixture
def kills(tmp_path):
    """Run a command once for each call to the disk, killed there and then repeated."""

    def run(root: Path, *words: str) -> dict:
        (tmp_path / "scratch").mkdir()
        line = [sys.executable, "-m", "tests.faults.kill_points", str(root), str(tmp_path / "scratch"), *words]
        told = subprocess.run(line, capture_output=True, text=True, check=False, cwd=resources.PACKAGE.parent)
        assert told.returncode == 0, told.stderr
        return json.loads(told.stdout)

    return run
