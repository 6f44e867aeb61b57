"""Rules as SQL, run on DuckDB: verdict, evidence, what is missing, and since when."""

import datetime
from dataclasses import dataclass, replace
from decimal import Decimal

import duckdb
import pytest
import sqlglot

from pipeline.policy import Rule
from pipeline.review.generated import EMPTY_VERDICTS
from pipeline.review.rule_compiler import compile_verdicts

SQL_TYPES = {
    "id": "VARCHAR", "code": "VARCHAR", "boolean": "BOOLEAN", "integer": "INTEGER", "number": "DECIMAL(18,4)",
    "date": "DATE",
}  # fmt: skip
NAMES = (
    "rule", "about", "client_id", "loan_id", "injury_id", "verdict", "evidence", "missing_columns", "since_on",
    "could_apply",
)  # fmt: skip


@dataclass(frozen=True)
class Column:
    name: str
    type: str
    codes: tuple[str, ...] = ()


COMMON = (
    Column("client_id", "id"),
    Column("is_adult", "boolean"),
    Column("risk_rung", "integer"),
    Column("position", "code", ("lying", "sitting")),
    Column("weight_kg", "number"),
    Column("in_use", "boolean"),
    Column("issued_on", "date"),
    Column("serviced_on", "date"),
)
COLUMNS = {
    "client": COMMON,
    "injury": (Column("injury_id", "id"), *COMMON),
    "loan": (Column("loan_id", "id"), *COMMON),
}
RELATIONS = {"client": "state.clients", "injury": "state.injuries", "loan": "state.loans"}
RULE = Rule(
    rule="a_rule", about="loan", family="records", when="in_use", severity="soon", title="t", consider="c",
    basis="decision", source="s", never_softened=False, since_column=None, applies_to=None, position=1, parameters=(),
    subsumes=(), file="rules/own.toml",
)  # fmt: skip


def database(**rows: dict) -> duckdb.DuckDBPyConnection:
    con = duckdb.connect()
    con.execute("CREATE SCHEMA state")
    for about, relation in RELATIONS.items():
        columns = ", ".join(f'"{column.name}" {SQL_TYPES[column.type]}' for column in COLUMNS[about])
        con.execute(f"CREATE TABLE {relation} ({columns})")
        if about in rows:
            values = {"client_id": "c1", f"{about}_id": f"{about[0]}1", **rows[about]}
            names = ", ".join(f'"{name}"' for name in values)
            marks = ", ".join("?" for _ in values)
            con.execute(f"INSERT INTO {relation} ({names}) VALUES ({marks})", list(values.values()))
    return con


def judge(con: duckdb.DuckDBPyConnection, *rules: Rule) -> list[dict]:
    cursor = con.execute(compile_verdicts(rules, COLUMNS))
    names = [column[0] for column in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]


def judge_loan(rule: Rule, **values) -> dict | None:
    found = judge(database(loan=values), rule)
    return found[0] if found else None


@pytest.mark.parametrize(("in_use", "rows"), [(True, [True]), (False, []), (None, [None])])
def test_clear_leaves_no_row_and_unknown_leaves_one(in_use, rows):
    assert [row["verdict"] for row in judge(database(loan={"in_use": in_use}), RULE)] == rows


@pytest.mark.parametrize(("in_use", "rows"), [(True, [True]), (False, []), (None, [])])
def test_without_the_unknown_only_what_is_true_leaves_a_row(in_use, rows):
    sql = compile_verdicts([RULE], COLUMNS, with_unknown=False)
    con = database(loan={"in_use": in_use})
    assert [row[0] for row in con.execute(f"SELECT verdict FROM ({sql})").fetchall()] == rows
    if rows:
        assert con.execute(sql).fetchall() == con.execute(compile_verdicts([RULE], COLUMNS)).fetchall()


def test_columns_of_the_relation():
    assert tuple(judge_loan(RULE, in_use=True)) == NAMES


def test_each_subject_has_its_own_id():
    con = database(client={"in_use": True}, injury={"in_use": True}, loan={"in_use": True})
    rules = [replace(RULE, rule=f"{about}_rule", about=about) for about in RELATIONS]
    found = [(row["about"], row["client_id"], row["loan_id"], row["injury_id"]) for row in judge(con, *rules)]
    assert sorted(found) == [("client", "c1", None, None), ("injury", "c1", None, "i1"), ("loan", "c1", "l1", None)]


def test_two_rules_in_one_pass():
    second = replace(RULE, rule="another", when="risk_rung > 1")
    found = {row["rule"]: row["verdict"] for row in judge(database(loan={"in_use": True}), RULE, second)}
    assert found == {"a_rule": True, "another": None}


def test_evidence_is_every_named_column_in_its_order():
    when = "position = 'lying' and weight_kg > 60 and risk_rung >= 2 and in_use and issued_on is null"
    rule = replace(RULE, when=when)
    row = judge_loan(rule, position="lying", weight_kg=Decimal("62.5"), risk_rung=2, in_use=True)
    assert row["evidence"] == (
        "position = lying; weight_kg = 62.5; risk_rung = 2; in_use = true; issued_on = not known"
    )


@pytest.mark.parametrize(
    ("weight", "text"), [("62.5000", "62.5"), ("100", "100"), ("0.0500", "0.05"), ("0", "0"), ("-20", "-20")]
)
def test_a_number_is_shown_without_the_zeros_of_its_scale(weight, text):
    row = judge_loan(replace(RULE, when="weight_kg < 500"), weight_kg=Decimal(weight))
    assert row["evidence"] == f"weight_kg = {text}"


def test_days_are_iso():
    row = judge_loan(replace(RULE, when="serviced_on < issued_on"), serviced_on="2025-03-01", issued_on="2026-01-09")
    assert row["evidence"] == "serviced_on = 2025-03-01; issued_on = 2026-01-09"


def test_missing_columns_of_an_unknown():
    row = judge_loan(replace(RULE, when="in_use and risk_rung > 1 and weight_kg > 3"), weight_kg=Decimal(60))
    assert (row["verdict"], row["missing_columns"]) == (None, "in_use; risk_rung")


def test_a_column_that_may_be_missing_is_not_asked_for():
    rule = replace(RULE, when="in_use and (risk_rung > 1 or risk_rung is null)")
    assert judge_loan(rule)["missing_columns"] == "in_use"


def test_an_unknown_always_names_a_missing_column():
    # Here only the column that is tested for null leaves the verdict open.
    rule = replace(RULE, when="risk_rung > 1 and (risk_rung is null or in_use)")
    row = judge_loan(rule, in_use=True)
    assert (row["verdict"], row["missing_columns"]) == (None, "risk_rung")


def test_nothing_missing_is_blank():
    assert judge_loan(RULE, in_use=True)["missing_columns"] is None


@pytest.mark.parametrize(
    ("is_adult", "in_use", "rows"),
    [
        (True, True, [(True, None)]), (False, True, []), (True, False, []), (None, False, []),
        (None, True, [(None, "is_adult")]),
    ],
)  # fmt: skip
def test_a_rule_for_adults(is_adult, in_use, rows):
    found = judge(database(loan={"is_adult": is_adult, "in_use": in_use}), replace(RULE, applies_to="adult"))
    assert [(row["verdict"], row["missing_columns"]) for row in found] == rows


def test_a_rule_for_adults_binds_its_whole_statement():
    rule = replace(RULE, applies_to="adult", when="in_use or risk_rung > 1")
    assert judge_loan(rule, is_adult=False, in_use=False, risk_rung=3) is None


def test_since_is_the_newest_day_of_the_evidence():
    rule = replace(RULE, when="serviced_on < issued_on")
    row = judge_loan(rule, serviced_on="2025-03-01", issued_on="2026-01-09")
    assert row["since_on"] == datetime.date(2026, 1, 9)


def test_since_ignores_a_day_that_is_missing():
    rule = replace(RULE, when="serviced_on is null or serviced_on < issued_on")
    assert judge_loan(rule, issued_on="2026-01-09")["since_on"] == datetime.date(2026, 1, 9)


def test_since_is_what_the_rule_names():
    row = judge_loan(replace(RULE, since_column="issued_on"), in_use=True, issued_on="2026-01-09")
    assert row["since_on"] == datetime.date(2026, 1, 9)


def test_since_falls_back_to_the_evidence():
    rule = replace(RULE, when="serviced_on < issued_on or in_use", since_column="serviced_on")
    assert judge_loan(rule, in_use=True, issued_on="2026-01-09")["since_on"] == datetime.date(2026, 1, 9)


def test_since_is_blank_without_a_day():
    assert judge_loan(RULE, in_use=True)["since_on"] is None


@pytest.mark.parametrize(("weight", "rows"), [("90.5", 0), ("90.6", 1)])
def test_a_parameter_is_the_amount_in_force(weight, rows):
    rule = replace(RULE, when="weight_kg > $most", parameters=(("most", Decimal("90.5")),))
    assert len(judge(database(loan={"weight_kg": Decimal(weight)}), rule)) == rows


def test_a_negative_parameter():
    rule = replace(RULE, when="risk_rung - $less > 2", parameters=(("less", Decimal(-1)),))
    assert judge_loan(rule, risk_rung=2)["verdict"] is True


def test_without_rules_the_relation_is_empty():
    assert compile_verdicts([], COLUMNS) == EMPTY_VERDICTS
    assert judge(database(loan={"in_use": True})) == []


def test_the_statement_is_read_on_the_other_engine_too():
    rules = [replace(RULE, rule=f"{about}_rule", about=about, when="weight_kg > 3") for about in RELATIONS]
    spark = sqlglot.transpile(compile_verdicts(rules, COLUMNS), read="duckdb", write="spark")[0]
    assert "FILTER(" in spark
    assert "EXPLODE(" in spark
    assert "lambda" not in spark.lower()


def counted(*rules: Rule, **values) -> dict[str, int]:
    con = database(loan={"in_use": True, "is_adult": True, **values})
    con.execute("INSERT INTO state.loans (client_id, loan_id) VALUES ('c2', 'l2')")
    con.execute("INSERT INTO state.loans (client_id, loan_id, is_adult, risk_rung) VALUES ('c3', 'l3', false, 0)")
    return {row["rule"]: row["could_apply"] for row in judge(con, *rules)}


def test_a_rule_could_apply_to_every_subject_where_it_says_nothing():
    assert counted(RULE) == {"a_rule": 3}


def test_whom_nothing_is_known_of_could_be_among_them():
    rule = replace(RULE, when="in_use and weight_kg is null", applies_when="risk_rung > 1")
    assert counted(rule, risk_rung=2) == {"a_rule": 2}
    assert counted(rule, risk_rung=1) == {"a_rule": 1}


def test_a_rule_for_adults_could_not_apply_to_a_child():
    assert counted(replace(RULE, applies_to="adult")) == {"a_rule": 2}


def test_a_parameter_counts_there_too():
    rule = replace(RULE, applies_when="weight_kg >= $most", parameters=(("most", Decimal("90.5")),))
    assert counted(rule, weight_kg=Decimal("90.4")) == {"a_rule": 2}
    assert counted(rule, weight_kg=Decimal("90.5")) == {"a_rule": 3}
