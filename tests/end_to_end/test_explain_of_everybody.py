"""`explain` about every person of the sample: what the warehouse holds, and what worklist and weekly audit print."""

import csv
import io
import json
import re
from collections import defaultdict
from html import unescape
from types import SimpleNamespace

import pytest

from pipeline import warehouse
from pipeline.report.explain import Explainer
from tests.end_to_end.printed import words_of

pytestmark = pytest.mark.slow

# Part of the answer: the relation that it must agree with, field by field, and in which order rows are compared.
PARTS = {
    "findings": (
        "SELECT client_id, finding_id, rule, about, loan_id, injury_id, severity, status, answer, quiet_until,"
        " is_shown, is_told_once, since_on, since_is_known, due_on, days_overdue, evidence, title, consider, source,"
        " action_id FROM audit.findings"
    ),
    "need": (
        "SELECT n.client_id, n.position, n.need_level, n.reasons, n.missing, p.verdict, p.loan_id, p.surface_class,"
        " p.reasons AS verdict_reasons, p.cautions, p.is_asked"
        " FROM fit.need AS n, fit.provision AS p WHERE p.client_id = n.client_id AND p.position = n.position"
    ),
    "surfaces": "SELECT client_id, loan_id, position, surface_class, owner, issued_on, state_seen_on FROM state.loans",
    "wounds": (
        "SELECT client_id, injury_id, location, side, stage, effective_stage, first_seen_on, last_seen_on,"
        " last_measured_on, area_cm2, trend, signs_of_infection FROM wounds.open"
    ),
    "looks": (
        "SELECT c.client_id, c.injury_id, c.recorded_stage, c.transition, c.transition_reason FROM wounds.course AS c"
        " WHERE c.transition IN ('review', 'error') AND c.injury_id IN (SELECT injury_id FROM wounds.open)"
        " AND c.episode = (SELECT max(d.episode) FROM wounds.course AS d WHERE d.injury_id = c.injury_id)"
    ),
    "unknowns": "SELECT DISTINCT client_id, column_name, why FROM audit.unknowns",
    "held": "SELECT client_id, feed, record_id, column_name, code, status, source_row, hides_newer FROM quality.held",
    "waiting": (
        "SELECT client_id, loan_id, position, surface_class, owner, coalesce(requested_on, need_identified_on)"
        " AS waiting_since_on FROM records.loans JOIN state.clients USING (client_id) WHERE issued_on IS NULL"
        " AND returned_on IS NULL AND coalesce(loan_status, 'requested') IN ('requested', 'ordered')"
    ),
    "clock": "SELECT client_id, kind, scale, last_at, due_at, due_on, status, days_overdue FROM audit.reassessments",
}


@pytest.fixture(scope="module")
def people(sample):
    return [row.client_id for row in sample.ask("SELECT client_id FROM state.clients ORDER BY client_id")]


@pytest.fixture(scope="module")
def answers(sample, people):
    """For each person what `explain` says: as facts and as words."""
    connection = warehouse.open_readonly(sample.root / "warehouse.duckdb")
    try:
        explainer = Explainer(connection)
        told = {client_id: explainer.about(client_id) for client_id in people}
    finally:
        connection.close()
    return {
        client_id: SimpleNamespace(facts=json.loads(answer.as_json()), words=" ".join(answer.as_text().split()))
        for client_id, answer in told.items()
    }


def as_told(row):
    """A row of the warehouse as the answer writes it: everything but truths, numbers and blanks as text."""
    told = {name: value for name, value in vars(row).items() if name != "client_id"}
    return json.loads(json.dumps(told, default=str))


def sorted_rows(rows):
    return sorted(json.dumps(row, sort_keys=True) for row in rows)


@pytest.mark.parametrize("part", PARTS)
def test_everybody_has_all_rows_of_the_warehouse_and_no_other(part, answers, sample):
    wanted = defaultdict(list)
    for row in sample.ask(PARTS[part]):
        wanted[row.client_id].append(as_told(row))
    assert set(wanted) & set(answers), "nobody has any, so nothing was compared"
    for client_id, answer in answers.items():
        names = (wanted[client_id] or [{}])[0]
        said = [{name: row[name] for name in names} for row in answer.facts[part]]
        assert len(said) == len(wanted[client_id]), (client_id, part)
        assert sorted_rows(said) == sorted_rows(wanted[client_id]), (client_id, part)


def test_everybody_s_words_give_the_same_counts_and_verdicts(answers, sample):
    labels = {(row.kind, row.code): row.label for row in sample.ask("SELECT * FROM policy.labels")}
    for client_id, answer in answers.items():
        facts, words = answer.facts, answer.words
        assert words.startswith(f"{client_id}: "), client_id
        assert f"FINDINGS: {len(facts['findings'])} " in words
        assert re.search(rf"NOT KNOWN: {len(facts['unknowns'])} facts? ", words), client_id
        assert re.search(rf"OPEN WOUNDS: {len(facts['wounds'])} ", words), client_id
        assert f"ROWS HELD BACK: {len(facts['held'])} " in words, client_id
        for place, finding in enumerate(facts["findings"], start=1):
            state = f"[{finding['severity']}, {labels['finding_status', finding['status']]}]"
            assert f"{place}. {finding['title']} {state}" in words, (client_id, finding["rule"])
            assert f"Rule: {finding['rule']} " in words
            late = f"{finding['days_overdue']} day" in words or not finding["days_overdue"]
            assert late, (client_id, finding["rule"])
        for row in facts["need"]:
            if row["is_asked"]:
                assert f"Verdict: {labels['verdict', row['verdict']]}" in words, client_id


def test_everybody_stands_in_explain_where_they_stand_on_the_list(answers, sample):
    listed = {row.client_id: row for row in sample.ask("SELECT * FROM audit.worklist")}
    for client_id, answer in answers.items():
        row = listed.get(client_id)
        names = ("rank", "level", "reason", "due_on", "days_overdue")
        wanted = {name: row and getattr(row, name) for name in names}
        assert {name: answer.facts["person"][name] for name in names} == json.loads(json.dumps(wanted, default=str))
        if row is None:
            assert "Not on the worklist" in answer.words, client_id
        else:
            assert f"No. {row.rank} of {len(listed)} on the worklist" in answer.words, client_id
            assert row.reason in answer.words, client_id


def test_the_worklist_page_says_of_everybody_what_explain_says(answers, sample):
    labels = {(row.kind, row.code): row.label for row in sample.ask("SELECT * FROM policy.labels")}
    visits = {row.rule for row in sample.ask("SELECT rule FROM policy.rules WHERE list_name = 'people'")}
    page = sample.page("worklist")
    rows = dict(re.findall(r'<tr role="row" id="person-([^"]+)">(.*?)</tr>', page, re.DOTALL))
    for client_id, answer in answers.items():
        shown = [finding for finding in answer.facts["findings"] if finding["is_shown"]]
        titles = {finding["title"] for finding in shown}
        # Whoever has something that asks for a visit, or was never scored in time, and nobody else.
        is_listed = any(finding["rule"] in visits for finding in shown) or never_scored(answer)
        assert (client_id in rows) == is_listed, client_id
        if not is_listed:
            continue
        row = rows[client_id]
        words = unescape(words_of(row))
        assert {title for title in titles if title.rstrip(".") not in words} == set(), client_id
        others = {f["title"] for f in answer.facts["findings"] if not f["is_shown"]} - titles
        said = set(re.findall(r"<strong>(.+?)\.?</strong>", row))
        assert {unescape(title) for title in said} & others == set(), client_id
        for need in answer.facts["need"]:
            if need["is_asked"]:
                where = labels["position", need["position"]].capitalize()
                assert re.search(rf"{where}: [^.]*, {labels['verdict', need['verdict']]}\.", words), client_id
        asked = [unescape(label).strip() for label in re.findall(r"<li>([^<]+?) <span", row.partition('"ask"')[2])]
        unknown = [fact["label"] for fact in answer.facts["unknowns"] if fact["why"] != "feed_absent"]
        assert asked == unknown[:5], client_id


def never_scored(answer):
    return answer.facts["clock"][0]["status"] == "never"


def test_the_table_says_of_everybody_what_explain_says(answers, sample):
    lines = csv.DictReader(io.StringIO((sample.folder / "worklist.csv").read_text("utf-8")))
    told = {line["client_id"]: line for line in lines}
    assert set(told) == {client_id for client_id, answer in answers.items() if answer.facts["person"]["rank"]}
    for client_id, line in told.items():
        person = answers[client_id].facts["person"]
        shown = [finding["title"] for finding in answers[client_id].facts["findings"] if finding["is_shown"]]
        leads = [] if person["level"] == "never_assessed" else [person["reason"]]
        # What the table joins stands under the leading reason, so together they are everything that is shown.
        rest = line["other_reasons"].split("; ") if line["other_reasons"] else []
        assert sorted(leads + rest) == sorted(shown), client_id
        assert (line["rank"], line["due_on"]) == (str(person["rank"]), person["due_on"])
        assert line["has_held_row"] == str(person["has_held_row"]).lower()


def test_the_weekly_audit_says_of_the_first_what_explain_says(answers, sample):
    section = sample.page("weekly_audit").partition('id="see-first"')[2].partition("</section>")[0]
    table, _, further = section.partition("</table>")
    rows = re.findall(r'<tr role="row">\s*<th scope="row".*?</tr>', table, re.DOTALL)
    ids = [re.search(r'person-([^"]+)"', row)[1] for row in rows]
    ranked = sorted(
        (answer.facts["person"]["rank"], client_id)
        for client_id, answer in answers.items()
        if answer.facts["person"]["level"] not in (None, "routine")
    )
    assert ids == [client_id for _, client_id in ranked[:15]]
    # Whoever else needs somebody today or tomorrow has one line below.
    urgent = [client_id for _, client_id in ranked if answers[client_id].facts["person"]["level"] == "urgent"]
    assert re.findall(r'person-([^"]+)"', further) == urgent[15:]
    for client_id, row in zip(ids, rows, strict=True):
        facts, words = answers[client_id].facts, unescape(words_of(row))
        assert f"{facts['person']['reason']} " in words
        late = facts["person"]["days_overdue"]
        assert (f"{late} day" in words) or not late, client_id
        assert ("A row of theirs is held back." in words) == facts["person"]["has_held_row"], client_id
        unknown = [fact["label"] for fact in facts["unknowns"] if fact["why"] != "feed_absent"][:3]
        assert ("; ".join(unknown) or "no question open") in words, client_id


def test_those_who_are_not_on_the_caseload_are_said_to_be_so(sample, people):
    known = {row.client_id for row in sample.ask("SELECT client_id FROM records.clients")}
    gone = sorted(known - set(people))[::10]
    assert gone
    connection = warehouse.open_readonly(sample.root / "warehouse.duckdb")
    try:
        explainer = Explainer(connection)
        words = {client_id: explainer.about(client_id).as_text() for client_id in gone}
    finally:
        connection.close()
    assert [client_id for client_id, said in words.items() if "NOT ON THE CASELOAD" not in said] == []
