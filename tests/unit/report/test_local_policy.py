"""What the weekly audit says of a policy that a service has changed."""

from tests.unit.report import world
from tests.unit.report.test_pages import audit_of
from tests.unit.report.test_weekly_audit import words_of

HEADING = "Where local policy differs from what is shipped"
RULE = {"kind": "rule", "block_id": "service_overdue", "label": "Service of a powered surface is overdue"}


def words_for(tmp_path, *changes):
    rows = world.ordinary_week()
    rows["policy.local_changes"] = list(changes)
    return words_of(audit_of(tmp_path, rows))


def test_the_shipped_policy_needs_no_words(tmp_path):
    assert HEADING not in words_for(tmp_path)


def test_each_change_is_one_line(tmp_path):
    number = {"kind": "parameter", "block_id": "service_days", "change": "changed", "label": "service days"}
    words = words_for(
        tmp_path, number | {"was": "365", "now": "180"}, RULE | {"block_id": "own", "change": "added"},
        RULE | {"change": "switched_off", "why": "The loan service keeps its own list"},
    )  # fmt: skip
    rule = "Rule “Service of a powered surface is overdue”"
    said = (
        f"{rule}: switched off. The loan service keeps its own list.", f"{rule}: added.",
        "Number “service days”: 180, shipped as 365.",
    )  # fmt: skip
    places = [words.index(line) for line in said]
    assert words.index(HEADING) < places[0]
    assert places == sorted(places)


def test_a_long_list_ends_in_a_number(tmp_path):
    changes = [RULE | {"block_id": f"r{place:02}", "change": "changed", "label": f"R{place:02}"} for place in range(15)]
    words = words_for(tmp_path, *changes)
    assert ("R11" in words, "R12" in words) == (True, False)
    assert "And 3 more (policy.local_changes)." in words
    assert "more (policy.local_changes)" not in words_for(tmp_path / "twelve", *changes[:12])
