"""Every shipped rule against its frozen cases: `<rule>.md` lists rows of its subject, and what the rule says of each.

The rows run through the real compiler and the real engine. A case is named by what it shows; `boundary` cases stand on
an edge of the rule, so that a limit that moves by one, or a class that joins or leaves a list, turns one of them red.
"""

import datetime
from pathlib import Path

import duckdb
import pytest

from pipeline.policy import load
from pipeline.review import state_columns
from pipeline.review.rule_compiler import SUBJECTS, compile_rule, compile_verdicts
from tests.models.cases import Case, Table, insert_rows, read_case

HERE = Path(__file__).parent
AS_OF = datetime.date(2026, 3, 2)
STATE = state_columns()
RULES = {rule.rule: rule for rule in load(state_columns=STATE).rules(AS_OF)}
CASES = {path.stem: read_case(path) for path in sorted(HERE.glob("*.md"))}
# `verdict` of a case, and what the relation holds for it: a clear verdict leaves no row.
SAID = {"true": True, "unknown": None}
EXPECTED = ("case", "verdict", "evidence", "missing", "since")


def tables(subjects: Table | None = None, *, about: str | None = None) -> duckdb.DuckDBPyConnection:
    """All three state relations with their true types; the rows of a case in one of them, each named by its case."""
    con = duckdb.connect(config={"threads": 1})
    con.execute("CREATE SCHEMA state")
    for subject, (relation, _) in SUBJECTS.items():
        columns = ", ".join(f'"{column.name}" {column.sql_type}' for column in STATE[subject])
        con.execute(f"CREATE TABLE {relation} ({columns})")
    if subjects is not None:
        names = [name for name in (SUBJECTS[about][1], "client_id") if name]
        rows = tuple((*[row[0]] * len(names), *row[1:]) for row in subjects.rows)
        insert_rows(con, SUBJECTS[about][0], Table(columns=(*names, *subjects.columns[1:]), rows=rows))
    return con


def given(case: Case) -> Table:
    (table,) = case.given.values()
    return table


def said(name: str) -> list[tuple]:
    rule = RULES[name]
    con = tables(given(CASES[name]), about=rule.about)
    return con.execute(
        f"""SELECT client_id, verdict, evidence, missing_columns, CAST(since_on AS VARCHAR)
        FROM ({compile_verdicts([rule], STATE)}) AS verdicts ORDER BY client_id"""
    ).fetchall()


def test_every_rule_has_its_cases():
    assert sorted(CASES) == sorted(RULES)


@pytest.mark.parametrize("name", sorted(CASES))
def test_rule_says_what_its_cases_say(name):
    case = CASES[name]
    assert list(case.given) == [SUBJECTS[RULES[name].about][0]]
    assert case.expect.columns == EXPECTED
    told = [dict(zip(EXPECTED, row, strict=True)) for row in case.expect.rows]
    assert [row["case"] for row in told] == [row[0] for row in given(case).rows]
    expected = [
        (row["case"], SAID[row["verdict"]], row["evidence"], row["missing"], row["since"])
        for row in told
        if row["verdict"] != "clear"
    ]
    assert said(name) == sorted(expected)


@pytest.mark.parametrize("name", sorted(CASES))
def test_every_kind_of_case_is_there(name):
    rows = [dict(zip(EXPECTED, row, strict=True)) for row in CASES[name].expect.rows]
    assert {row["verdict"] for row in rows} == {"true", "clear", "unknown"}
    # An edge has two sides.
    edges = {row["verdict"] for row in rows if row["case"].startswith("boundary")}
    assert {"true", "clear"} <= edges
    assert "ource" in CASES[name].sentence, "say where the clinical fact comes from, or that there is no source"


@pytest.mark.parametrize("name", sorted(CASES))
def test_who_it_is_true_of_is_among_those_it_could_apply_to(name):
    rule = RULES[name]
    compiled = compile_rule(rule, STATE[rule.about])
    if compiled.applies is not None:
        con = tables(given(CASES[name]), about=rule.about)
        relation = SUBJECTS[rule.about][0]
        left_out = f"SELECT client_id FROM {relation} WHERE ({compiled.verdict}) AND NOT ({compiled.applies})"
        assert con.execute(left_out).fetchall() == []
