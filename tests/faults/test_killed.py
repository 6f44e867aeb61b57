"""A run that is killed at any instant leaves nothing that a second run does not put right."""

import pytest

from tests.contract.conftest import loan
from tests.faults.conftest import RECEIVED, caseround

WEEK_2 = ("--received-at", "2026-01-12T06:00:00Z")


def check(outcome, *, exit_code):
    assert outcome["exit"] == exit_code
    assert outcome["undisturbed"]["unfinished"] == []
    assert outcome["undisturbed"]["files"]
    for kill in outcome["kills"]:
        where = f"killed {kill['moment']} {kill['call']} (call {kill['at']})"
        assert kill["died"] == -9, where
        assert kill["again"] == exit_code, where
        assert kill["after"] == outcome["undisturbed"], where


def test_killed_in_intake(desk, kills):
    outcome = kills(desk.root, "intake", *RECEIVED)
    assert outcome["moments"] > 60
    assert len(outcome["kills"]) > 15
    check(outcome, exit_code=0)


@pytest.mark.slow
def test_killed_while_building_and_publishing(full, kills):
    # A new file in a workspace that has published before, so that there is an old audit to keep. Intake has its own
    # test above; taken in already, the file costs no kill here.
    full.drop("loans_2.csv", [loan("L-2", position="sitting", surface_class="cushion_foam", issued_on="2026-01-06")])
    taken = caseround("intake", *WEEK_2, workspace=full.root)
    assert taken.returncode == 0, taken.stderr
    outcome = kills(full.root, "run", *WEEK_2)
    assert {kill["call"] for kill in outcome["kills"]} >= {"replace", "rename_new", "fsync_dir"}
    assert len(outcome["undisturbed"]["content"]) == 64
    check(outcome, exit_code=0)
