"""A policy changes: what holds on which day, and what a workspace may set itself."""

import datetime
from decimal import Decimal

import pytest

from pipeline.policy import load
from pipeline.resources import policy_dir

BEFORE, AFTER = datetime.date(2026, 2, 28), datetime.date(2026, 3, 2)


@pytest.fixture
def workspace(tmp_path):
    """Write policy files into a workspace and load the policy with them."""

    def write(**files: str):
        for name, text in files.items():
            path = tmp_path / (name.replace("__", "/") + ".toml")
            path.parent.mkdir(exist_ok=True)
            path.write_text(text, encoding="utf-8")
        return load(tmp_path)

    return write


def shipped(name: str) -> str:
    return (policy_dir() / name).read_text(encoding="utf-8")


def norton_from_march() -> str:
    text = shipped("scales/norton.toml")
    block = text[text.index("\n[[scale]]") :].replace("2000-01-01", "2026-03-01")
    block = block.replace("to_total = 12", "to_total = 11").replace("from_total = 13", "from_total = 12")
    return text + "\n" + block


def test_an_old_score_keeps_the_band_of_its_day(workspace):
    policy = workspace(scales__norton=norton_from_march())
    bands = [row for row in policy.tables(AFTER)["scale_bands"].to_pylist() if row["scale"] == "norton"]
    worst = [row for row in bands if row["band"] == "very_high"]
    edges = {(row["effective_from"], row["effective_to"]): row["to_total"] for row in worst}
    first, second = datetime.date(2000, 1, 1), datetime.date(2026, 3, 1)
    assert edges == {(first, second): 12, (second, None): 11}


def test_a_later_block_is_invisible_before_its_day(workspace):
    policy = workspace(scales__norton=norton_from_march())
    assert policy.tables(BEFORE)["scale_bands"] == load().tables(BEFORE)["scale_bands"]


def test_a_later_block_changes_only_later_fingerprints(workspace):
    policy = workspace(scales__norton=norton_from_march())
    assert policy.fingerprint(BEFORE) == load().fingerprint(BEFORE)
    assert policy.fingerprint(AFTER) != load().fingerprint(AFTER)


def test_the_same_blocks_from_the_workspace_have_the_same_fingerprint(workspace):
    assert workspace(fit=shipped("fit.toml")).fingerprint(AFTER) == load().fingerprint(AFTER)


def test_a_fingerprint_sees_a_signature(workspace):
    signed = shipped("fit.toml").replace('signed_off_on = ""', "signed_off_on = 2026-02-01")
    policy = workspace(fit=signed.replace('signed_off_role = ""', 'signed_off_role = "Clinical lead"'))
    assert policy.fingerprint(AFTER) != load().fingerprint(AFTER)
    assert "fit.toml" not in policy.unsigned(AFTER)


def test_a_signature_without_a_role_does_not_count(workspace):
    policy = workspace(fit=shipped("fit.toml").replace('signed_off_on = ""', "signed_off_on = 2026-02-01"))
    assert "fit.toml" in policy.unsigned(AFTER)


def test_nothing_is_in_force_before_the_first_block():
    assert load().rules(datetime.date(1999, 12, 31)) == ()


def test_a_workspace_sets_a_number_of_its_own(workspace):
    policy = workspace(local='[[parameter]]\nid = "service_days"\namount = 180\n')
    assert policy.parameters(AFTER)["service_days"] == Decimal(180)
    rule = next(rule for rule in policy.rules(AFTER) if rule.rule == "service_overdue")
    assert rule.parameters == (("service_days", Decimal(180)),)


def test_a_number_of_its_own_may_begin_later(workspace):
    policy = workspace(local='[[parameter]]\nid = "service_days"\namount = 180\neffective_from = 2026-03-01\n')
    assert policy.parameters(BEFORE)["service_days"] == Decimal(365)
    assert policy.parameters(AFTER)["service_days"] == Decimal(180)


def test_a_rule_is_switched_off_and_said_so(workspace):
    policy = workspace(local='[switch_off]\nrules = ["service_overdue"]\nwhy = "The loan service keeps its own list"\n')
    assert "service_overdue" not in [rule.rule for rule in policy.rules(AFTER)]
    off = policy.tables(AFTER)["rules_switched_off"].to_pylist()
    assert [(row["rule"], row["why"]) for row in off] == [("service_overdue", "The loan service keeps its own list")]
    assert policy.fingerprint(AFTER) != load().fingerprint(AFTER)


def test_a_rule_that_is_switched_off_hides_nothing(workspace):
    policy = workspace(local='[switch_off]\nrules = ["bed_std_with_wound"]\nwhy = "Under review"\n')
    pairs = {(row["rule"], row["subsumes"]) for row in policy.tables(AFTER)["rule_subsumes"].to_pylist()}
    assert ("deep_wound_on_foam", "bed_std_high_risk") in pairs
    assert [pair for pair in pairs if "bed_std_with_wound" in pair] == []


def test_hiding_is_transitive(workspace):
    both, one = '"bed_std_with_wound", "bed_std_high_risk"]', '"bed_std_with_wound"]'
    text = shipped("rules/under_provision.toml").replace(both, one)
    pairs = workspace(rules__under_provision=text).tables(AFTER)["rule_subsumes"].to_pylist()
    assert {"rule": "deep_wound_on_foam", "subsumes": "bed_std_high_risk"} in pairs


def test_holidays_are_no_working_days(workspace):
    text = shipped("severities.toml").replace("days = []", "days = [2026-03-02]")
    numbers = workspace(severities=text).tables(AFTER)["calendar"].to_pylist()
    by_day = {row["day"]: row["working_day_number"] for row in numbers}
    assert by_day[datetime.date(2026, 3, 2)] == by_day[datetime.date(2026, 2, 27)]


def test_a_decimal_is_kept_as_it_is_written():
    assert load().parameters(AFTER)["loud_rule_share"] == Decimal("0.2")


def test_safety_stands_first():
    families = [rule.family for rule in load().rules(AFTER)]
    assert families[0] == "safety"
    assert [rule.position for rule in load().rules(AFTER)] == list(range(1, len(families) + 1))
