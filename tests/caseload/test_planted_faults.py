"""Faults that were put into the sample on purpose are found, all of them, and nothing else is called one."""

from collections import Counter
from datetime import date

import pytest

from tests.caseload.conftest import LAST_DAY

pytestmark = pytest.mark.slow


def of_kind(planted, kind: str) -> list[dict[str, str]]:
    return [fault for fault in planted if fault["kind"] == kind]


def test_every_planted_row_is_held_and_two_more_are_accounted_for(weeks, planted):
    found = Counter()
    for outcome in weeks.outcomes:
        for file in (file for file in outcome.files if file.status == "taken"):
            found.update({(file.feed, code): rows for code, rows in file.held_by_code.items()})
    listed = Counter((fault["feed"], fault["expected"]) for fault in of_kind(planted, "held"))
    assert listed - found == Counter(), "planted and not held"
    # A record said twice is one fault and two rows. The other row is no false alarm either: the earlier of two forms
    # of a person whose course was written by hand names days after it came.
    more = {("circumstances", "duplicate_id"): 1, ("circumstances", "date_after_received"): 1}
    assert found - listed == Counter(more)
    assert (sum(found.values()), sum(listed.values())) == (35, 33)


def test_rows_that_wait_are_the_planted_ones(weeks, planted):
    listed = {(fault["feed"], fault["record_id"], fault["expected"]) for fault in of_kind(planted, "waiting")}
    query = "SELECT feed, record_id, waiting_code, client_id FROM records.set_aside WHERE version_status = 'waiting'"
    found = {row for day in weeks.warehouses for row in weeks.ask(query, on=day)}
    # While a person's own row is held for a planted fault, what is said of them waits with it.
    unknown = {fault["client_id"] for fault in of_kind(planted, "held") if fault["feed"] == "clients"}
    assert {row[:3] for row in found if row[3] not in unknown} == listed
    assert {row[2] for row in found if row[3] in unknown} <= {"client_unknown"}


@pytest.mark.parametrize(
    ("outcome", "condition", "many"),
    [("total_differs", "NOT total_agrees", 193), ("incomplete", "items IS NOT NULL AND NOT is_complete", 130)],
)
def test_scores_that_are_wrong_are_the_planted_ones(weeks, planted, outcome, condition, many):
    query = f"""
        SELECT scores.assessment_id FROM risk.scores
        INNER JOIN records.assessments ON assessments.assessment_id = scores.assessment_id WHERE {condition}"""
    found = {row[0] for row in weeks.ask(query)}
    listed = {fault["record_id"] for fault in of_kind(planted, "score") if fault["expected"] == outcome}
    assert len(listed) == many
    assert found ^ listed == set()


def test_planted_rules_are_found_and_no_other_is_raised_about_these_people(weeks, planted):
    shipped = {rule.rule for rule in weeks.policy.rules(LAST_DAY)}
    rules = of_kind(planted, "rule")
    listed = {fault_of(fault) for fault in rules if fault["expected"] in shipped}
    people = {fault["client_id"] for fault in rules + of_kind(planted, "quiet")}
    query = "SELECT client_id, rule, status FROM audit.findings"
    raised = {
        (client, rule, day): status for day in weeks.warehouses for client, rule, status in weeks.ask(query, on=day)
    }
    assert listed - set(raised) == set(), "planted and not found"
    # What one visit mends is one finding: the ones it hides are no alarms.
    alarms = {
        (client, rule)
        for (client, rule, day), status in raised.items()
        if day == LAST_DAY and client in people and status != "subsumed"
    }
    assert alarms - {key[:2] for key in listed} == set(), "false alarms"
    # What nobody fetched from somebody who left is a list and no rule: the test below.
    assert (len(rules), len(listed)) == (117, 116)


def test_the_surface_that_nobody_fetched_is_on_its_list(weeks, planted):
    [fault] = [fault for fault in planted if fault["expected"] == "equip_not_collected"]
    assert weeks.ask("SELECT client_id FROM audit.to_collect WHERE loan_id = ?", fault["record_id"]) == [
        (fault["client_id"],)
    ]
    assert weeks.ask("SELECT 1 FROM audit.findings WHERE client_id = ?", fault["client_id"]) == []


def fault_of(fault: dict[str, str]) -> tuple[str, str, date]:
    """(client, what is expected, the day of the audit that must find it)."""
    return fault["client_id"], fault["expected"], date.fromisoformat(fault["as_of"])


@pytest.mark.parametrize(
    ("kind", "queries", "many"),
    [
        ("verdict", ("SELECT client_id, verdict FROM fit.provision",), 10),
        (
            "status",
            (
                "SELECT client_id, status FROM audit.findings",
                "SELECT client_id, status FROM audit.reassessments",
                "SELECT client_id, 'unplaced' FROM state.clients WHERE NOT is_placed",
            ),
            9,
        ),
    ],
)
def test_planted_judgements_are_given(weeks, planted, kind, queries, many):
    listed = {fault_of(fault) for fault in of_kind(planted, kind)}
    found = {
        (*row, day) for day in {fault[2] for fault in listed} for query in queries for row in weeks.ask(query, on=day)
    }
    assert len(listed) == many
    assert listed - found == set()


def test_a_file_that_came_twice_was_known(weeks, planted):
    [fault] = of_kind(planted, "file")
    assert [file.feed for outcome in weeks.outcomes for file in outcome.files if file.status == "known"].count(
        fault["feed"]
    ) >= 1
