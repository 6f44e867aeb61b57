"""The law of missing facts through the whole program: an export that never came makes nobody look safe."""

from __future__ import annotations

import pytest

from .conftest import Desk, braden, client, injury, loan, placement

WEEK_1 = ("--received-at", "2026-01-05T06:00:00Z")
PEOPLE = ("C-1", "C-2", "C-3", "C-4")
LOW, HIGH = (4, 4, 4, 4, 4, 3), (1, 1, 1, 1, 2, 1)
# Whose rows a rule about it reads: without the export there is no such row to judge.
SUBJECT_FEED = {"loan": "loans", "injury": "injuries"}

ROWS = {
    "clients": [client(person) for person in PEOPLE],
    "placements": [placement(person) for person in PEOPLE],
    # C-1 low, C-2 very high, C-3 never scored, C-4 low.
    "assessments": [braden("A-1", "C-1", items=LOW), braden("A-2", "C-2", items=HIGH), braden("A-4", "C-4", items=LOW)],
    # C-1 with a deep sacral wound, C-2 with a heel that is not measured.
    "injuries": [injury("O-1", "C-1"), injury("O-2", "C-2", location="heel", stage="stage_2", length_cm=None)],
    # C-1 on foam, C-2 on an ordinary mattress, C-3 on a powered one out of service, C-4 on foam, which is enough.
    "loans": [
        loan("L-1", "C-1"),
        loan("L-2", "C-2", surface_class="standard_mattress"),
        loan("L-3", "C-3", surface_class="alternating_air", serviced_on="2024-01-01"),
        loan("L-4", "C-4"),
    ],
    "circumstances": [
        {
            "circumstances_id": "F-3", "client_id": "C-3", "observed_on": "2026-01-02", "unstable_spine": "false",
            "traction": "false", "smoking": "no", "naked_flame": "false", "power_reliable": "true",
            "bed_mobility": "limited", "can_be_turned_by_carer": "true", "lung_disease": "false",
        }
    ],
}  # fmt: skip


def judged(root, *, without: str | None = None) -> dict[str, set]:
    """Who is found or unknown by which rule, and whose mattress is called enough, without one export."""
    root.joinpath("inbox").mkdir(parents=True)
    desk = Desk(root)
    for feed, rows in ROWS.items():
        if feed != without:
            desk.drop(f"{feed}.csv", rows)
    desk.run("run", *WEEK_1)
    verdicts = desk.ask("SELECT rule, about, client_id, loan_id, injury_id, verdict FROM audit.verdicts")
    matched = desk.ask("SELECT client_id FROM fit.provision WHERE position = 'lying' AND verdict = 'matched'")
    return {
        "flagged": {row[:5] for row in verdicts},
        "found": {row[:5] for row in verdicts if row[5]},
        "matched": {row[0] for row in matched},
    }


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    return judged(tmp_path_factory.mktemp("missing") / "whole")


def test_the_caseload_has_something_to_lose(whole):
    assert {rule for rule, *_ in whole["found"]} >= {
        "deep_wound_on_foam", "bed_std_high_risk", "missing_risk", "service_overdue",
    }  # fmt: skip
    # C-3 lies on a class that carries the deepest need, so it is enough whatever the need is: nothing forbids it.
    assert whole["matched"] == {"C-3", "C-4"}


@pytest.mark.parametrize(
    ("feed", "enough"),
    [
        ("assessments", {"C-3"}),
        ("injuries", {"C-3"}),
        ("loans", set()),
        ("placements", {"C-3"}),
    ],
)
def test_without_one_export_nothing_turns_clear(whole, tmp_path, feed, enough):
    left = judged(tmp_path / "left", without=feed)
    still_judged = {row for row in whole["flagged"] if SUBJECT_FEED.get(row[1]) != feed}
    assert still_judged - left["flagged"] == set()
    assert left["matched"] == enough
