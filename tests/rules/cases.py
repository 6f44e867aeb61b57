"""Frozen cases of a rule: `<rule>.md` lists rows of its subject, and what the rule says of each.

The rows run through the real compiler and the real engine. A case is named by what it shows, and its name is the id of
its row.
"""

import datetime
import functools
from pathlib import Path

import duckdb

from pipeline.policy import Rule, load
from pipeline.review import state_columns
from pipeline.review.rule_compiler import SUBJECTS, compile_verdicts
from tests.models.cases import Case, Table, insert_rows, read_case

HERE = Path(__file__).parent
AS_OF = datetime.date(2026, 3, 2)
EXPECTED = ("case", "verdict", "evidence", "missing", "since")
# `verdict` of a case, and what the relation holds for it: a clear verdict leaves no row.
SAID = {"true": True, "unknown": None}


@functools.cache
def state() -> dict:
    """The documented columns of each subject."""
    return state_columns()


@functools.cache
def shipped_rules() -> dict[str, Rule]:
    """The shipped rules in force, by id."""
    return {rule.rule: rule for rule in load(state_columns=state()).rules(AS_OF)}


@functools.cache
def rule_cases() -> dict[str, Case]:
    """The case file of each rule, by the rule's id."""
    return {path.stem: read_case(path) for path in sorted(HERE.glob("*.md"))}


def given(case: Case) -> Table:
    """The rows of the one relation that a case file fills."""
    (table,) = case.given.values()
    return table


def told(case: Case) -> list[dict[str, str | None]]:
    """The expected rows by column name."""
    return [dict(zip(EXPECTED, row, strict=True)) for row in case.expect.rows]


def tables(subjects: Table, *, about: str) -> duckdb.DuckDBPyConnection:
    """The three state relations with their true types, and the rows of a case in one of them."""
    con = duckdb.connect(config={"threads": 1})
    con.execute("CREATE SCHEMA state")
    for subject, (relation, _) in SUBJECTS.items():
        columns = ", ".join(f'"{column.name}" {column.sql_type}' for column in state()[subject])
        con.execute(f"CREATE TABLE {relation} ({columns})")
    names = [name for name in (SUBJECTS[about][1], "client_id") if name]
    rows = tuple((*[row[0]] * len(names), *row[1:]) for row in subjects.rows)
    insert_rows(con, SUBJECTS[about][0], Table(columns=(*names, *subjects.columns[1:]), rows=rows))
    return con


def said(rule: Rule, case: Case) -> list[tuple]:
    """What the compiled rule says of the rows: case, verdict, evidence, missing, since; none for a clear one."""
    con = tables(given(case), about=rule.about)
    return con.execute(
        f"""SELECT client_id, verdict, evidence, missing_columns, CAST(since_on AS VARCHAR)
        FROM ({compile_verdicts([rule], state())}) AS verdicts ORDER BY client_id"""
    ).fetchall()


def expected(case: Case) -> list[tuple]:
    """What the case file says of its rows, in the same form."""
    return sorted(
        (row["case"], SAID[row["verdict"]], row["evidence"], row["missing"], row["since"])
        for row in told(case)
        if row["verdict"] != "clear"
    )
