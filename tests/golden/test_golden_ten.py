"""Ten people from the files of an export to every line of their audit, held to what was worked out by hand.

Sources stand beside each person in golden_ten.md.
"""

import datetime as dt
from collections import defaultdict
from decimal import Decimal

import duckdb
import pytest
from click.testing import CliRunner

from pipeline.cli import main
from tests.golden.reading import Person, people
from tests.standards.conftest import write_csv

PEOPLE = people()
AS_OF = dt.date(2026, 3, 2)
FEEDS_WITH_ROWS = 8
RISK = {
    "total": "risk_total", "band": "risk_band", "rung": "risk_rung", "scored on": "risk_assessed_on",
    "too old": "risk_is_stale",
}  # fmt: skip
NEED = {"level": "need_level", "risk rung": "risk_rung", "injury rung": "injury_rung", "missing": "missing"}
PROVISION = {"surface": "loan_id", "class": "surface_class", "verdict": "verdict"}
CLOCK = {
    "kind": "kind", "last": "CAST(last_at AS DATE)", "due": "due_on", "status": "status",
    "days overdue": "days_overdue", "interval": "interval_id",
}  # fmt: skip
FINDING = {
    "finding": "rule", "subject": "COALESCE(loan_id, injury_id)", "severity": "severity", "status": "status",
    "answer": "answer", "since": "since_on", "due": "due_on", "days overdue": "days_overdue",
}  # fmt: skip
each_person = pytest.mark.parametrize("person", PEOPLE, ids=lambda person: person.client_id)


def plain(cell: object) -> str:
    """A cell of the warehouse as the document writes it."""
    if cell is None:
        return "-"
    if isinstance(cell, bool):
        return str(cell).lower()
    return str(int(cell)) if isinstance(cell, Decimal) and cell == int(cell) else str(cell)


@pytest.fixture(scope="module")
def audit(tmp_path_factory):
    """The published warehouse, opened to read: two exports taken in, one review."""
    root = tmp_path_factory.mktemp("golden") / "ws"
    call("init", str(root))
    sent: dict[str, dict[str, list[dict]]] = defaultdict(lambda: defaultdict(list))
    for person in PEOPLE:
        for feed, row in person.records():
            sent[row.pop("received")][feed].append(row)
    for day in sorted(sent):
        for feed, rows in sent[day].items():
            write_csv(root / "inbox" / f"{feed}_{day}.csv", rows)
        call("intake", "--workspace", str(root), "--received-at", f"{day}T06:00:00Z")
    call("review", "--workspace", str(root))
    with duckdb.connect(str(root / "warehouse.duckdb"), read_only=True) as con:
        yield con


def call(*words: str) -> None:
    result = CliRunner().invoke(main, list(words))
    assert result.exit_code == 0, result.output


def rows(audit, relation: str, columns: dict[str, str], where: str, *values) -> list[dict[str, str]]:
    """Rows of a relation under the document's words for its columns."""
    picked = ", ".join(columns.values())
    found = audit.execute(f"SELECT {picked} FROM {relation} WHERE {where} ORDER BY ALL", list(values)).fetchall()
    return [dict(zip(columns, map(plain, row), strict=True)) for row in found]


def lacking(phrases: str, text: str | None) -> list[str]:
    """The phrases, joined by +, that a text does not hold; a dash asks for none."""
    wanted = [] if phrases == "-" else phrases.split(" + ")
    return [phrase for phrase in wanted if phrase not in (text or "")]


@each_person
def test_risk(audit, person: Person):
    told = person.expected("risk")["expected"]
    basis = told.pop("basis", None)
    assert rows(audit, "state.clients", RISK, "client_id = ?", person.client_id) == [told]
    if basis:
        found = rows(audit, "risk.latest", {"basis": "basis_of_band"}, "client_id = ?", person.client_id)
        assert found == [{"basis": basis}]


@each_person
def test_scores_and_wounds(audit, person: Person):
    for assessment, told in person.expected("score").items():
        columns = {name: name for name in told}
        assert rows(audit, "risk.scores", columns, "assessment_id = ?", assessment) == [told]
    wounds = person.expected("wound")
    open_now = audit.execute("SELECT injury_id FROM state.injuries WHERE client_id = ?", [person.client_id]).fetchall()
    assert {injury for (injury,) in open_now} == set(wounds)
    for injury, told in wounds.items():
        columns = {name: name for name in told}
        assert rows(audit, "state.injuries", columns, "injury_id = ?", injury) == [told]


@each_person
@pytest.mark.parametrize("position", ["lying", "sitting"])
def test_need_and_what_is_in_place(audit, person: Person, position: str):
    for name, relation, columns in (("need", "fit.need", NEED), ("provision", "fit.provision", PROVISION)):
        told = dict(person.expected(name)[position])
        reasons = told.pop("reasons")
        columns = columns | {"reasons": "reasons"}
        (found,) = rows(audit, relation, columns, "client_id = ? AND position = ?", person.client_id, position)
        text = found.pop("reasons")
        assert found == told, text
        assert lacking(reasons, text) == [], text


@pytest.mark.parametrize("table", ["bed options", "seat options"])
@each_person
def test_which_classes_stay_open(audit, person: Person, table: str):
    position = {"bed options": "lying", "seat options": "sitting"}[table]
    wanted = person.rows(table)
    found = audit.execute(
        "SELECT surface_class, verdict, rank, reasons_for, reasons_against FROM fit.options"
        " WHERE client_id = ? AND position = ?",
        [person.client_id, position],
    ).fetchall()
    by_class = {name: (verdict, plain(rank)) for name, verdict, rank, _, _ in found}
    assert not wanted or by_class == {row[table]: (row["verdict"], row["rank"]) for row in wanted}
    said = {name: (speaks_for, against) for name, _, _, speaks_for, against in found}
    for row in wanted:
        speaks_for, against = said[row[table]]
        assert lacking(row["for"], speaks_for) == [], speaks_for
        assert lacking(row["against"], against) == [], against


def test_options_were_worked_out_for_three_people():
    assert len([person for person in PEOPLE if person.rows("bed options")]) == 3


@each_person
def test_findings_are_these_and_no_others(audit, person: Person):
    wanted = person.rows("finding")
    assert person.says_no_other_finding
    told = [{name: row[name] for name in FINDING} for row in wanted]
    found = rows(audit, "audit.findings", FINDING, "client_id = ?", person.client_id)
    assert sorted(found, key=str) == sorted(told, key=str)
    for row in wanted:
        (text,) = audit.execute(
            "SELECT evidence FROM audit.findings WHERE client_id = ? AND rule = ?", [person.client_id, row["finding"]]
        ).fetchone()
        assert lacking(row["evidence"], text) == [], text


@each_person
def test_what_is_new_and_what_stands(audit, person: Person):
    wanted = {(row["finding"], row["subject"], row["change"]) for row in person.rows("finding") if row["change"] != "-"}
    found = audit.execute(
        "SELECT rule, COALESCE(loan_id, injury_id, '-'), change FROM audit.changes"
        " WHERE client_id = ? AND change <> 'resolved'",
        [person.client_id],
    ).fetchall()
    assert set(found) == wanted


def test_what_is_resolved(audit):
    wanted = {(row["resolved"], row["person"], row["subject"]) for person in PEOPLE for row in person.rows("resolved")}
    found = audit.execute(
        "SELECT rule, client_id, COALESCE(loan_id, injury_id, '-') FROM audit.changes WHERE change = 'resolved'"
    ).fetchall()
    assert set(found) == wanted


@each_person
def test_what_is_not_known(audit, person: Person):
    wanted = person.rows("not known")
    assert person.says_nothing_unknown is not bool(wanted)
    told = {(row["not known"], row["why"], rule) for row in wanted for rule in row["rules that wait"].split(", ")}
    found = audit.execute("SELECT column_name, why, rule FROM audit.unknowns WHERE client_id = ?", [person.client_id])
    assert set(found.fetchall()) == told
    # Each fact that is wanting is one question to ask.
    asked = audit.execute("SELECT column_name FROM audit.to_ask WHERE client_id = ?", [person.client_id]).fetchall()
    assert sorted(column for (column,) in asked) == sorted(row["not known"] for row in wanted)


@each_person
def test_clock(audit, person: Person):
    told = person.expected("clock")["expected"]
    assert rows(audit, "audit.reassessments", CLOCK, "client_id = ?", person.client_id) == [told]


@each_person
def test_row_of_the_worklist(audit, person: Person):
    """Counted from the findings of the document: what is open or came back is in the row, by severity."""
    loud = [row for row in person.rows("finding") if row["status"] in ("open", "returned")]
    counts = tuple(sum(row["severity"] == severity for row in loud) for severity in ("urgent", "soon", "routine"))
    found = audit.execute(
        "SELECT urgent_count, soon_count, routine_count FROM audit.worklist WHERE client_id = ?", [person.client_id]
    ).fetchall()
    assert found == ([counts] if loud else [])


def test_ten_people_and_nothing_set_aside(audit):
    assert [person.client_id for person in PEOPLE] == [f"G-{number:02d}" for number in range(1, 11)]
    on_caseload = audit.execute("SELECT client_id FROM state.clients ORDER BY client_id").fetchall()
    assert [client for (client,) in on_caseload] == [person.client_id for person in PEOPLE]
    assert audit.execute("SELECT COUNT(*) FROM quality.held").fetchone() == (0,)
    assert audit.execute("SELECT COUNT(*) FROM audit.service_sentences").fetchone() == (0,)
    assert audit.execute("SELECT as_of, is_first_audit FROM review.parameters").fetchone() == (AS_OF, False)
    assert audit.execute("SELECT COUNT(DISTINCT feed) FROM quality.files").fetchone() == (FEEDS_WITH_ROWS,)


def test_what_cannot_be_told_is_never_a_match(audit):
    """Missing is not safe: an unknown need is matched only by what carries every need, and comfort is no match."""
    told = {person.client_id: person.expected("provision")["lying"]["verdict"] for person in PEOPLE}
    assert {client for client, verdict in told.items() if verdict == "matched"} == {"G-01", "G-06", "G-08"}
    found = audit.execute(
        "SELECT lying_matched, lying_under, lying_over, lying_contraindicated, lying_judged FROM audit.tally"
        " WHERE team IS NULL"
    ).fetchone()
    assert found == (3, 4, 0, 1, 8)
