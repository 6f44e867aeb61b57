"""The shipped rules against the real state relations."""

import datetime

import pytest

from pipeline.policy import load
from pipeline.review import state_columns

AS_OF = datetime.date(2026, 3, 2)
STATE = state_columns()
POLICY = load(state_columns=STATE)
RULES = POLICY.rules(AS_OF)


def test_every_rule_of_the_files_is_in_force():
    assert {rule.rule for rule in RULES} == {block.id for block in POLICY.blocks if block.kind == "rule"}


@pytest.mark.parametrize("about", sorted(STATE))
def test_every_column_a_rule_may_name_has_plain_words(about):
    labels = POLICY.tables(AS_OF)["labels"].to_pylist()
    known = {row["code"] for row in labels if row["kind"] == "column"}
    assert [column.name for column in STATE[about] if column.name not in known] == []


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.rule)
def test_a_rule_leaves_the_decision_to_the_reader(rule):
    # A flag is for a clinician to consider: it never diagnoses and never orders.
    assert rule.consider.endswith(".")
    assert "must" not in rule.consider.lower().split()


def test_a_pump_alarm_is_never_softened():
    assert [rule.rule for rule in RULES if rule.never_softened] == ["pump_off_or_alarm"]


def test_a_fault_that_one_visit_mends_is_one_finding():
    pairs = {(row["rule"], row["subsumes"]) for row in POLICY.tables(AS_OF)["rule_subsumes"].to_pylist()}
    assert pairs == {
        ("deep_wound_on_foam", "bed_std_with_wound"),
        ("deep_wound_on_foam", "bed_std_high_risk"),
        ("bed_std_with_wound", "bed_std_high_risk"),
    }
