"""The rule language: what it takes, and that everything else is refused with a reason."""

from dataclasses import dataclass
from decimal import Decimal

import pytest

from pipeline.errors import PolicyUnsound
from pipeline.policy import StatementRefused, load, parse_statement
from pipeline.resources import policy_dir


@dataclass(frozen=True)
class Column:
    name: str
    type: str
    codes: tuple[str, ...] = ()


COLUMNS = (
    Column("client_id", "id"),
    Column("loan_id", "id"),
    Column("team", "text"),
    Column("site", "text"),
    Column("position", "code", ("lying", "sitting")),
    Column("surface_class", "code", ("foam", "gel", "static_air")),
    Column("lying_class", "code", ("foam", "gel", "static_air")),
    Column("declined_what", "codes", ("lying", "heel")),
    Column("is_powered", "boolean"),
    Column("in_use", "boolean"),
    Column("risk_rung", "integer"),
    Column("weight_kg", "number"),
    Column("max_user_kg", "number"),
    Column("serviced_on", "date"),
    Column("issued_on", "date"),
    Column("looked_at", "timestamp"),
    Column("needs", "list"),
)
PARAMETERS = {"limit": Decimal("100")}

TAKEN = [
    "is_powered",
    "not is_powered",
    "is_powered = false",
    "is_powered <> in_use",
    "position = 'lying'",
    "position <> 'lying'",
    "surface_class in ('foam', 'gel')",
    "surface_class not in ('foam')",
    "surface_class = lying_class",
    "risk_rung >= 2",
    "risk_rung in (2, -3)",
    "2 <= risk_rung",
    "risk_rung between 1 and 3",
    "risk_rung not between 1 and 3",
    "weight_kg > $limit",
    "weight_kg > max_user_kg * 0.9",
    "weight_kg * $limit > -1",
    "abs(weight_kg - max_user_kg) > 10",
    "-weight_kg < 0",
    "serviced_on < issued_on",
    "looked_at = looked_at",
    "client_id <> loan_id",
    "team = site",
    "serviced_on is null",
    "needs is null",
    "declined_what is null",
    "(is_powered and (in_use or risk_rung > 1)) or serviced_on is null",
    "not (is_powered or in_use)",
    "IS_POWERED is null".lower(),
]

REFUSED = {
    "is not null": ("serviced_on is not null", "is null stands under not"),
    "is null under not": ("not (is_powered and serviced_on is null)", "is null stands under not"),
    "is true": ("is_powered is true", "is true and is false"),
    "is false": ("is_powered is false", "is true and is false"),
    "is null of an expression": ("(weight_kg + 1) is null", "for a column alone"),
    "isnull": ("serviced_on isnull", "isnull is neither"),
    "notnull": ("serviced_on notnull", "notnull is neither"),
    "is distinct from": ("risk_rung is distinct from 2", "distinct is neither"),
    "like": ("surface_class like 'foam%'", "like is not part"),
    "ilike": ("surface_class ilike 'foam'", "ilike is not part"),
    "case": ("case when is_powered then in_use end", "case is not part"),
    "cast": ("cast(risk_rung as integer) > 1", "cast is not part"),
    "double colon": ("risk_rung::integer > 1", "sign ':'"),
    "coalesce": ("coalesce(is_powered, in_use)", "coalesce is not part"),
    "ifnull": ("ifnull(is_powered, in_use)", "ifnull is not part"),
    "another function": ("round(weight_kg) > 1", "round is neither"),
    "a window": ("sum(risk_rung) over () > 1", "sum is neither"),
    "sub-select": ("risk_rung in (select 1)", "select is not part"),
    "qualified name": ("loans.is_powered", "loans is neither"),
    "qualified with itself": ("is_powered.in_use", "sign '.'"),
    "quoted name": ('"is_powered"', "sign '\"'"),
    "line comment": ("is_powered -- and in_use", "holds a comment"),
    "block comment": ("is_powered /* and in_use */", "holds a comment"),
    "comment between": ("is_powered and /**/ in_use", "holds a comment"),
    "semicolon": ("is_powered; in_use", "sign ';'"),
    "bare true": ("true", "bare true"),
    "bare false": ("false", "bare true"),
    "or true": ("is_powered or true", "bare true"),
    "and false": ("is_powered and false", "bare true"),
    "not true": ("is_powered and not true", "bare true"),
    "one equals one": ("1 = 1", "names no column"),
    "literals of one text": ("'foam' = 'foam'", "names no column"),
    "a parameter alone": ("$limit > 3", "names no column"),
    "between literals": ("1 between 0 and 2", "names no column"),
    "in after a literal": ("1 in (1, 2)", "no column before it"),
    "null in a list": ("risk_rung in (1, null)", "in takes a list"),
    "column in a list": ("risk_rung in (1, risk_rung)", "in takes a list"),
    "equals null": ("risk_rung = null", "nothing equals null"),
    "bare null": ("is_powered or null", "null is not part"),
    "unknown code": ("surface_class = 'foma'", "'foma' is no code"),
    "unknown code in a list": ("surface_class in ('foam', 'foma')", "'foma' is no code"),
    "upper case code": ("surface_class = 'Foam'", "'Foam' is no code"),
    "code of another column": ("position = 'foam'", "'foam' is no code"),
    "unknown column": ("is_pwoered", "is_pwoered is neither"),
    "upper case column": ("Is_Powered", "Is_Powered is neither"),
    "unknown parameter": ("weight_kg > $limt", "limt is neither"),
    "numbered parameter": ("weight_kg > $1", "$1 is not declared"),
    "a column as a parameter": ("weight_kg > $max_user_kg", "$max_user_kg is not declared"),
    "a parameter as a column": ("weight_kg > limit", "limit is no column"),
    "text and number": ("surface_class = 2", "different types"),
    "number and text": ("risk_rung = '2'", "no codes"),
    "number and boolean": ("risk_rung = true", "different types"),
    "day and number": ("serviced_on > 20260101", "different types"),
    "day and text": ("serviced_on > '2026-01-01'", "no codes"),
    "day and instant": ("serviced_on < looked_at", "different types"),
    "free text and a literal": ("team = 'north'", "no codes"),
    "an id and a literal": ("client_id = 'c1'", "no codes"),
    "columns without a common code": ("position = surface_class", "share no code"),
    "order of codes": ("surface_class > 'foam'", "only numbers and days"),
    "order of booleans": ("is_powered > in_use", "only numbers and days"),
    "a list compared": ("needs = needs", "only be tested with is null"),
    "several codes compared": ("declined_what = 'heel'", "only be tested with is null"),
    "bare number": ("risk_rung", "stands alone"),
    "bare code": ("position and is_powered", "stands alone"),
    "bare literal": ("is_powered and 1", "literal is not part"),
    "not of a number": ("not risk_rung", "stands alone"),
    "a comparison compared": ("(risk_rung > 1) = true", "gt is not part"),
    "a chain": ("1 < risk_rung < 3", "lt is not part"),
    "a test compared": ("(serviced_on is null) = true", "is is not part"),
    "arithmetic without a column": ("weight_kg > 2 * 3", "without a column"),
    "parameter arithmetic": ("weight_kg > $limit + 1", "without a column"),
    "abs of a literal": ("weight_kg > abs(3)", "without a column"),
    "minus of an expression": ("weight_kg > -(1 + 2)", "without a column"),
    "arithmetic with a code": ("position + 1 > 2", "no number"),
    "arithmetic with days": ("serviced_on + 7 > issued_on", "no number"),
    "arithmetic with a boolean": ("is_powered + 1 > 2", "no number"),
    "division": ("weight_kg / 2 > 1", "sign '/'"),
    "remainder": ("risk_rung % 2 = 1", "sign '%'"),
    "power": ("weight_kg ** 2 > 1", "pow is not part"),
    "absolute value sign": ("@weight_kg > 1", "sign '@'"),
    "double equals": ("risk_rung == 1", "sign '='"),
    "exclamation": ("risk_rung != 1", "sign '!'"),
    "concatenation": ("position || surface_class = 'foam'", "sign '|'"),
    "an alias": ("is_powered in_use", "alias is not part"),
    "a pair": ("(risk_rung, weight_kg) in (1, 2)", "tuple is not part"),
    "an array": ("risk_rung = [1][1]", "sign '['"),
    "an exponent": ("risk_rung > 1e5", "e5 is neither"),
    "a date literal": ("serviced_on > date '2026-01-01'", "date is neither"),
    "between symmetric": ("risk_rung between symmetric 3 and 1", "symmetric is neither"),
    "exists": ("exists (select 1)", "exists is neither"),
    "empty": ("", "not a complete"),
    "blank": ("   ", "not a complete"),
    "open bracket": ("(is_powered", "not a complete"),
    "open quote": ("position = 'lying", "sign \"'\""),
    "a lambda": ("x -> x", "x is neither"),
    "a star": ("*", "star is not part"),
}  # fmt: skip


def read(text: str):
    return parse_statement(text, columns=COLUMNS, parameters=PARAMETERS)


@pytest.mark.parametrize("text", TAKEN)
def test_taken(text):
    assert read(text).columns


@pytest.mark.parametrize(("text", "reason"), REFUSED.values(), ids=REFUSED)
def test_refused(text, reason):
    with pytest.raises(StatementRefused) as refusal:
        read(text)
    assert reason in str(refusal.value)
    assert refusal.value.todo


def test_columns_stand_in_the_order_of_first_mention():
    statement = read("position = 'lying' and (in_use or is_powered) and in_use")
    assert statement.columns == ("position", "in_use", "is_powered")


def test_a_column_that_is_tested_for_null_is_not_asked_for():
    statement = read("is_powered and (serviced_on is null or serviced_on < issued_on)")
    assert statement.asked == ("is_powered", "issued_on")


RULE = """
[[rule]]
id = "own_rule"
about = "loan"
family = "records"
when = "{when}"
clears = "{clears}"
severity = "soon"
title = "A title"
consider = "Something."
{extra}
effective_from = 2000-01-01
basis = "decision"
source = "Ours"
"""


def load_with(folder, *, when: str = "is_powered", clears: str = "is_powered", extra: str = ""):
    (folder / "rules").mkdir()
    # The shipped rules speak of more columns than these: only the own rule's subject is of interest here.
    for path in sorted((policy_dir() / "rules").glob("*.toml")):
        (folder / "rules" / path.name).write_text("", encoding="utf-8")
    own = RULE.format(when=when, clears=clears, extra=extra)
    (folder / "rules" / "own.toml").write_text(own, encoding="utf-8")
    return load(folder, state_columns={"client": COLUMNS, "injury": COLUMNS, "loan": COLUMNS})


@pytest.mark.parametrize(
    ("when", "extra", "said"),
    [
        ("is_pwoered", "", "`when` cannot be used: is_pwoered"),
        ("is_powered", 'since = "is_powered"', "since names is_powered"),
        ("is_powered", 'since = "no_such_on"', "since names no_such_on"),
        ("is_powered", 'applies_to = "adult"', "needs the column is_adult"),
        ("is_powered", "parameters = { days = 3 }", "the parameter days is never used"),
        ("weight_kg > 3", "", "clears names is_powered, which `when` does not look at"),
        ("is_powered", 'applies_when = "is_pwoered"', "`applies_when` cannot be used: is_pwoered"),
    ],
)
def test_the_loader_names_file_and_block(tmp_path, when, extra, said):
    with pytest.raises(PolicyUnsound) as refusal:
        load_with(tmp_path, when=when, extra=extra)
    assert str(refusal.value).startswith("workspace policy/rules/own.toml, block own_rule: ")
    assert said in str(refusal.value)


def test_the_loader_takes_a_sound_rule(tmp_path):
    extra = 'since = "issued_on"\nparameters = { most = 90 }'
    policy = load_with(tmp_path, when="weight_kg > $most", clears="weight_kg", extra=extra)
    assert [block.id for block in policy.blocks if block.kind == "rule"] == ["own_rule"]
