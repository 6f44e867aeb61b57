"""The shipped rules against the real state relations."""

import datetime

import pytest

from pipeline.policy import load
from pipeline.review import state_columns

AS_OF = datetime.date(2026, 3, 2)
STATE = state_columns()
POLICY = load(state_columns=STATE)
RULES = POLICY.rules(AS_OF)
BY_ID = {rule.rule: rule for rule in RULES}


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
    # What is urgent, or about a body or a surface, is put to a clinician; an errand on paper may be named as such.
    if rule.severity == "urgent" or rule.family in ("safety", "under_provision", "set_up", "whole_day", "step_down"):
        first = rule.consider.split(maxsplit=1)[0]
        assert first == "Consider" or (first == "Ask" and "consider" in rule.consider), rule.consider


# Fire, load, entrapment and spine, the pump, and a person on the base: never softened, by our decision.
def test_what_can_harm_today_is_never_softened():
    hardened = {rule.rule for rule in RULES if rule.never_softened}
    assert {rule.rule for rule in RULES if rule.family == "safety"} <= hardened
    assert {"pump_off_or_alarm", "bottomed_out"} <= hardened
    assert [rule.rule for rule in RULES if rule.never_softened and rule.softened_by] == []


# The order of danger is our decision: fire, being caught, being too heavy, spine, power; then deep and open injuries on
# too little; then how it is set up and used, what stands still and what is to come. It
# decides who of the worklist's urgent people comes first.
def test_urgent_rules_stand_in_their_order_of_danger():
    urgent = [rule for rule in RULES if rule.severity == "urgent" and rule.list_name == "people"]
    urgent.sort(key=lambda rule: (not rule.never_softened, rule.position))
    errands = list(dict.fromkeys(rule.mends for rule in urgent))
    assert errands == [
        "fire", "power_leads", "rails", "load", "spine", "pump", "power_plan", "medical_review", "transfer",
        "bottoming", "mode", "mattress", "surface_review", "seat", "heels", "skin_check", "wound_plan",
        "go_home", "chase",
    ]  # fmt: skip
    mattress = [rule.rule for rule in urgent if rule.family == "under_provision"]
    assert (mattress[0], mattress[-1]) == ("deep_wound_on_foam", "bed_std_high_risk")


# An urgent finding is about somebody today, however many share it; a full-thickness injury likewise.
def test_what_is_urgent_stays_with_the_person():
    assert [rule.rule for rule in RULES if rule.severity == "urgent" and not rule.always_in_rows] == []


def test_every_other_rule_has_its_words_for_the_whole_service():
    for rule in RULES:
        assert (rule.service_sentence is None) == rule.always_in_rows
        if rule.service_sentence is not None:
            assert rule.service_sentence.startswith("{n} of {of} ")
            assert not rule.service_sentence.endswith(".")


def test_equipment_is_a_list_of_its_own():
    # Upkeep is seen to without the person, but for the one rule that asks for a new look at how somebody sits.
    assert {rule.rule for rule in RULES if rule.family == "upkeep" and rule.list_name != "equipment"} == {
        "sci_cushion_reassess"
    }
    assert {rule.list_name for rule in RULES if rule.severity == "urgent" and rule.family != "upkeep"} == {"people"}


@pytest.mark.parametrize(
    ("hiding", "hidden"),
    [
        ("deep_wound_on_foam", "two_turning_surfaces"),
        ("deep_wound_on_foam", "bed_std_high_risk"),
        ("two_turning_surfaces", "bed_std_with_wound"),
        ("bed_std_with_wound", "bed_std_high_risk"),
    ],
)
def test_a_fault_that_one_visit_mends_is_one_finding(hiding, hidden):
    assert {"rule": hiding, "subsumes": hidden} in POLICY.tables(AS_OF)["rule_subsumes"].to_pylist()
    assert BY_ID[hiding].mends == BY_ID[hidden].mends


def test_what_hides_another_asks_for_the_same_errand():
    pairs = POLICY.tables(AS_OF)["rule_subsumes"].to_pylist()
    assert [pair for pair in pairs if BY_ID[pair["rule"]].mends != BY_ID[pair["subsumes"]].mends] == []


def test_every_errand_has_plain_words():
    known = {row["code"] for row in POLICY.tables(AS_OF)["labels"].to_pylist() if row["kind"] == "mends"}
    assert sorted({rule.mends for rule in RULES} - known) == []
