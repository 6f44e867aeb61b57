"""A service changes the policy in its own folder: the audit says so, and what is unsound stops the run before it."""

import pytest

from tests.contract.conftest import client, loan, placement

WEEK = ("--received-at", "2026-01-05T06:00:00Z")
OWN_RULE = """
[[rule]]
id = "wide_person_narrow_bed"
about = "client"
family = "records"
when = "%s"
clears = "age_years"
severity = "soon"
title = "Older than the local limit"
consider = "See the person."
effective_from = 2025-01-01
basis = "decision"
source = "Invented for this test"
[rule.parameters]
local_age_limit = 75
"""
SOUND = "age_years > $local_age_limit"


@pytest.fixture
def week(desk):
    """Three people on a powered surface that was serviced 200 days ago."""
    people = ["C-1", "C-2", "C-3"]
    desk.drop("clients.csv", [client(person) for person in people])
    desk.drop("placements.csv", [placement(person) for person in people])
    surface = {"surface_class": "alternating_air", "serviced_on": "2025-06-19"}
    desk.drop("loans.csv", [loan(f"L-{person}", person, **surface) for person in people])
    return desk


def audit_with(desk, files: dict[str, str]) -> str:
    """The weekly audit of a workspace whose policy folder holds these files."""
    put(desk, files)
    desk.run("run", *WEEK)
    [page] = desk.root.glob("audits/2026-01-05/*/weekly_audit.html")
    return page.read_text(encoding="utf-8")


def put(desk, files: dict[str, str]) -> None:
    for name, text in files.items():
        path = desk.root / "policy" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def findings(desk, rule: str) -> int:
    [(count,)] = desk.ask(f"SELECT count(*) FROM audit.findings WHERE rule = '{rule}'")
    return count


def test_the_policy_as_shipped_says_nothing_of_local_policy(week):
    page = audit_with(week, {})
    assert "local policy differs" not in page.lower()
    # 200 days are within the shipped year (common practice, no source).
    assert findings(week, "service_overdue") == 0


def test_a_number_of_its_own_decides_and_is_told(week):
    page = audit_with(week, {"local.toml": '[[parameter]]\nid = "service_days"\namount = 180\n'})
    assert "Number “service days”: 180, shipped as 365." in page
    assert findings(week, "service_overdue") == 3


def test_a_rule_that_is_switched_off_finds_nothing_and_is_told(week):
    switched = '[switch_off]\nrules = ["service_overdue"]\nwhy = "The loan service keeps its own list"\n'
    page = audit_with(week, {"local.toml": switched + '\n[[parameter]]\nid = "service_days"\namount = 180\n'})
    assert "1 rule is switched off by local policy" in page
    assert "“Service of a powered surface is overdue”: switched off. The loan service keeps its own list." in page
    assert findings(week, "service_overdue") == 0


def test_a_rule_of_its_own_finds_and_is_told(week):
    page = audit_with(week, {"rules/own.toml": OWN_RULE % SOUND})
    assert "Rule “Older than the local limit”: added." in page
    # Every person of this week is 79.
    assert findings(week, "wide_person_narrow_bed") == 3


UNSOUND = [
    ("local.toml", '[[parameter]]\nid = "servce_days"\namount = 180\n', "block servce_days", "no parameter is called"),
    ("local.toml", '[switch_off]\nrules = ["no_rule"]\nwhy = "x"\n', "no_rule", "names no_rule"),
    ("rules/own.toml", OWN_RULE % "age_years is not null", "block wide_person_narrow_bed", "is null stands under not"),
    ("rules/own.toml", OWN_RULE % "shoe_size > $local_age_limit", "block wide_person_narrow_bed", "shoe_size"),
    ("rules/own.toml", OWN_RULE % "age_years > $another", "block wide_person_narrow_bed", "another"),
    ("rules/own.toml", OWN_RULE % "sex = 'elf' and age_years > 1", "block wide_person_narrow_bed", "elf"),
    ("rules/own.toml", OWN_RULE.replace('severity = "soon"\n', "") % SOUND, "block wide_person_narrow_bed", "severity"),
    ("rules/own.toml", "[[rule", "", "not readable as TOML"),
    ("severities.toml", "", "", "urgent is missing"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "text", "block", "reason"), UNSOUND)
def test_what_is_unsound_is_refused_with_file_block_and_reason(week, name, text, block, reason):
    put(week, {name: text})
    _, _, said = week.run("run", *WEEK, expect=10)
    assert f"policy/{name}" in said
    assert block in said and reason in said
    # Nothing was taken in, built or written.
    assert not any((week.root / "store").rglob("*.json"))
    assert not (week.root / "warehouse.duckdb").exists()
