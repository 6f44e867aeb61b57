"""What a workspace sets itself is told beside what is shipped."""

import datetime

import pytest

from pipeline.policy import load
from pipeline.policy.shapes import SHAPES
from pipeline.resources import policy_dir
from tests.unit.policy.test_policy_refusals import RULE

AS_OF = datetime.date(2026, 3, 2)


@pytest.fixture
def told(tmp_path):
    """Write policy files into a workspace; what policy.local_changes says of them."""

    def write(files: dict[str, str], *, as_of: datetime.date = AS_OF) -> list[tuple]:
        for name, text in files.items():
            path = tmp_path / name
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        rows = load(tmp_path).tables(as_of)["local_changes"].to_pylist()
        return [(row["kind"], row["block_id"], row["change"], row["was"], row["now"], row["why"]) for row in rows]

    return write


def shipped(name: str, old: str = "", new: str = "") -> dict[str, str]:
    text = (policy_dir() / name).read_text(encoding="utf-8")
    assert old in text
    return {name: text.replace(old, new, 1)}


def test_nothing_is_told_of_the_shipped_policy(told):
    assert load().tables(AS_OF)["local_changes"].to_pylist() == []
    assert told(shipped("rules/upkeep.toml")) == []


def test_a_number_is_told_with_the_shipped_one_wherever_it_was_set(told):
    row = ("parameter", "service_days", "changed", "365", "180", None)
    assert told({"local.toml": '[[parameter]]\nid = "service_days"\namount = 180\n'}) == [row]
    assert told(shipped("rules/upkeep.toml", "service_days = 365", "service_days = 180") | {"local.toml": ""}) == [row]


def test_a_number_that_holds_later_is_told_later(told):
    later = '[[parameter]]\nid = "service_days"\namount = 180\neffective_from = 2026-03-03\n'
    assert told({"local.toml": later}) == []
    assert len(told({"local.toml": later}, as_of=datetime.date(2026, 3, 3))) == 1


def test_a_rule_that_is_switched_off_is_told_with_the_reason(told):
    off = '[switch_off]\nrules = ["service_overdue"]\nwhy = "The loan service keeps its own list"\n'
    assert told({"local.toml": off}) == [
        ("rule", "service_overdue", "switched_off", None, None, "The loan service keeps its own list")
    ]


def test_a_rule_of_its_own_is_told(told):
    assert told({"rules/own.toml": RULE}) == [("rule", "own_rule", "added", None, None, None)]


@pytest.mark.parametrize(
    ("old", "new", "change"),
    [
        ('severity = "soon"', 'severity = "routine"', "changed"),
        ('source = "Common practice', 'source = "Local practice', "changed"),
        ('id = "service_overdue"', 'id = "service_late"', "left_out"),
    ],
)
def test_a_rule_that_reads_otherwise_is_told(told, old, new, change):
    rows = told(shipped("rules/upkeep.toml", old, new))
    assert ("rule", "service_overdue", change, None, None, None) in rows
    assert len(rows) == (2 if change == "left_out" else 1)


def test_any_other_block_is_told_by_its_kind(told):
    assert [row[:3] for row in told(shipped("severities.toml", "due_days = 10", "due_days = 5"))] == [
        ("severity", "soon", "changed")
    ]


def test_every_kind_of_block_has_words():
    words = {row["code"] for row in load().tables(AS_OF)["labels"].to_pylist() if row["kind"] == "policy_kind"}
    assert words == set(SHAPES)
