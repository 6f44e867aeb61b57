"""The law of missing facts, through the real engine.

Making values NULL may turn a clear verdict into unknown or into a finding, and a finding into unknown. It never turns a
finding or an unknown into clear: a missing fact must not read as safe. The law is tested for every shipped rule and for
random statements of the rule language, over generated rows and every subset of up to three of their columns.
"""

import datetime
import itertools
from dataclasses import dataclass

import duckdb
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.policy import StatementRefused, load, parse_statement
from pipeline.review import rule_compiler, state_columns

AS_OF = datetime.date(2026, 3, 2)
MOST_BLANKED = 3
STATE = state_columns()
POLICY = load(state_columns=STATE)
RULES = {rule.rule: rule for rule in POLICY.rules(AS_OF)}
ENGINE = duckdb.connect()
FEW = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@dataclass(frozen=True)
class Column:
    name: str
    type: str
    codes: tuple[str, ...] = ()


CODES = ("foam", "gel", "static_air")
COLUMNS = (
    Column("surface_class", "code", CODES),
    Column("lying_class", "code", CODES),
    Column("is_powered", "boolean"),
    Column("in_use", "boolean"),
    Column("risk_rung", "integer"),
    Column("weight_kg", "number"),
    Column("issued_on", "date"),
    Column("serviced_on", "date"),
)
SQL_TYPES = {"integer": "INTEGER", "number": "DECIMAL(18,4)", "date": "DATE", "boolean": "BOOLEAN"}


def sql_value(value, column) -> str:
    kind = SQL_TYPES.get(column.type, "VARCHAR")
    if value is None:
        return f"CAST(NULL AS {kind}) AS {column.name}"
    text = str(value).replace("'", "''")
    return f"CAST('{text}' AS {kind}) AS {column.name}"


def values_of(column, numbers) -> st.SearchStrategy:
    known = {
        "boolean": st.booleans(),
        "integer": st.sampled_from(numbers),
        "number": st.sampled_from(numbers),
        "date": st.sampled_from([AS_OF, AS_OF - datetime.timedelta(days=10), AS_OF - datetime.timedelta(days=400)]),
    }
    return st.none() | known.get(column.type, st.sampled_from(column.codes or ("some_text",)))


def rows_of(columns, numbers) -> st.SearchStrategy:
    return st.fixed_dictionaries({column.name: values_of(column, numbers) for column in columns})


def blanked(row: dict) -> list[dict]:
    """The row itself, and the row with each subset of up to three known columns made NULL."""
    known = [name for name, value in row.items() if value is not None]
    subsets = itertools.chain.from_iterable(
        itertools.combinations(known, count) for count in range(min(MOST_BLANKED, len(known)) + 1)
    )
    return [{name: None if name in gone else value for name, value in row.items()} for gone in subsets]


def verdicts(expression: str, columns, rows: list[dict]) -> list[bool | None]:
    selects = [
        f"SELECT {place} AS place, " + ", ".join(sql_value(row[column.name], column) for column in columns)
        for place, row in enumerate(rows)
    ]
    found = ENGINE.execute(f"SELECT {expression} FROM ({' UNION ALL '.join(selects)}) ORDER BY place").fetchall()
    return [row[0] for row in found]


def law_breakers(expression: str, columns, row: dict) -> list[dict]:
    """The blanked rows that became clear although the whole row is a finding or unknown."""
    rows = blanked(row)
    first, *others = verdicts(expression, columns, rows)
    if first is False:
        return []
    return [spoiled for spoiled, verdict in zip(rows[1:], others, strict=True) if verdict is False]


def named_columns(rule):
    wanted = set(parse_statement(rule.when, columns=STATE[rule.about], parameters=dict(rule.parameters)).columns)
    if rule.applies_to:
        wanted.add("is_adult")
    return [column for column in STATE[rule.about] if column.name in wanted]


def around_parameters(rule) -> list:
    edges = {0, 1, 2, 3}
    for _, amount in rule.parameters:
        edges |= {int(amount) - 1, int(amount), int(amount) + 1}
    return sorted(edges)


@pytest.mark.parametrize("name", sorted(RULES))
@FEW
@given(data=st.data())
def test_shipped_rule_keeps_the_law(name, data):
    rule = RULES[name]
    verdict = rule_compiler.compile_rule(rule, STATE[rule.about]).verdict
    columns = named_columns(rule)
    row = data.draw(rows_of(columns, around_parameters(rule)))
    assert law_breakers(verdict, columns, row) == []


NUMBERS = st.sampled_from(
    ["risk_rung", "weight_kg", "risk_rung + 1", "weight_kg * 2", "abs(weight_kg - 2)", "-risk_rung"]
)
CONSTANTS = st.sampled_from(["0", "1", "2", "3", "-1", "1.5"])
SIGNS = st.sampled_from(["=", "<>", "<", "<=", ">", ">="])
ATOMS = st.one_of(
    st.sampled_from(["is_powered", "in_use", "is_powered = in_use", "is_powered <> true"]),
    st.builds("{} {} {}".format, NUMBERS, SIGNS, CONSTANTS | NUMBERS),
    st.builds("{} between {} and {}".format, NUMBERS, CONSTANTS | NUMBERS, CONSTANTS | NUMBERS),
    st.builds("risk_rung in ({}, {})".format, CONSTANTS, CONSTANTS),
    st.builds("surface_class {} '{}'".format, st.sampled_from(["=", "<>"]), st.sampled_from(CODES)),
    st.builds("surface_class {} ('foam', '{}')".format, st.sampled_from(["in", "not in"]), st.sampled_from(CODES)),
    st.builds("surface_class {} lying_class".format, st.sampled_from(["=", "<>"])),
    st.builds("serviced_on {} issued_on".format, SIGNS),
)
NULL_TESTS = st.sampled_from([f"{column.name} is null" for column in COLUMNS])


def grown(atoms: st.SearchStrategy) -> st.SearchStrategy:
    return st.recursive(
        atoms,
        lambda inner: st.builds("({} {} {})".format, inner, st.sampled_from(["and", "or"]), inner),
        max_leaves=5,
    )


NEGATED = st.builds("not {}".format, grown(ATOMS).map("({})".format))
STATEMENTS = grown(ATOMS | NULL_TESTS | NEGATED)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(text=STATEMENTS, row=rows_of(COLUMNS, [0, 1, 2, 3]))
def test_every_statement_of_the_language_keeps_the_law(text, row):
    statement = parse_statement(text, columns=COLUMNS, parameters={})
    named = {name: value if name in statement.columns else None for name, value in row.items()}
    assert law_breakers(statement.tree.sql(dialect="duckdb"), COLUMNS, named) == []


# One row each for which the law is broken: what the grammar keeps out, written past it.
BREAKERS = {
    "is true": ("in_use is true", {"in_use": True}),
    "is not null": ("serviced_on is not null", {"serviced_on": AS_OF}),
    "not of is null": ("not (serviced_on is null)", {"serviced_on": AS_OF}),
    "coalesce": ("coalesce(in_use, false)", {"in_use": True}),
    "is distinct from": ("risk_rung is distinct from null", {"risk_rung": 2}),
    "case": ("case when in_use then true else false end", {"in_use": True}),
}


@pytest.mark.parametrize(("expression", "known"), BREAKERS.values(), ids=BREAKERS)
def test_what_the_grammar_refuses_would_break_the_law(expression, known):
    row = {column.name: known.get(column.name) for column in COLUMNS}
    assert law_breakers(expression, COLUMNS, row) != []
    with pytest.raises(StatementRefused):
        parse_statement(expression, columns=COLUMNS, parameters={})
