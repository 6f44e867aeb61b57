"""Which trees are statements of the rule language, judged by node and by type."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from sqlglot import exp


class StatementRefused(ValueError):
    """A `when` outside the language: the reason, and what to write instead."""

    def __init__(self, reason: str, *, todo: str) -> None:
        self.todo = todo
        super().__init__(reason)


@dataclass(frozen=True)
class Value:
    """The type of one side of a comparison: `codes` are the column's, `literal` is what a literal says."""

    kind: str
    names_column: bool
    codes: tuple[str, ...] = ()
    literal: str | bool | None = None


@dataclass(frozen=True)
class Names:
    """What a statement may name."""

    columns: Mapping[str, Any]
    parameters: Mapping[str, Decimal] = field(default_factory=dict)


# Header types to the kinds that may be compared with each other.
KINDS = {
    "integer": "number", "number": "number", "boolean": "boolean", "date": "day", "timestamp": "instant",
    "code": "code", "id": "id", "text": "text", "codes": "list", "list": "list",
}
EQUALITY = (exp.EQ, exp.NEQ)
ORDER = (exp.LT, exp.LTE, exp.GT, exp.GTE)
ORDERED = ("number", "day", "instant")
ARITHMETIC = (exp.Add, exp.Sub, exp.Mul)
# Arguments that a node may carry; anything else on it is syntax that the language does not have.
PLAIN_ARGUMENTS = {exp.In: {"this", "expressions"}, exp.Between: {"this", "low", "high"}}


def judge_boolean(tree: exp.Expression, *, columns: Mapping[str, Any], parameters: Mapping[str, Decimal]) -> None:
    """StatementRefused unless the tree is a boolean of the language over these columns and parameters."""
    _boolean(tree, Names(columns, parameters), is_negated=False)


def _boolean(node: exp.Expression, names: Names, *, is_negated: bool) -> None:
    _plain(node)
    if isinstance(node, exp.Paren):
        _boolean(node.this, names, is_negated=is_negated)
    elif isinstance(node, (exp.And, exp.Or)):
        _boolean(node.this, names, is_negated=is_negated)
        _boolean(node.expression, names, is_negated=is_negated)
    elif isinstance(node, exp.Not):
        _boolean(node.this, names, is_negated=True)
    elif isinstance(node, exp.Is):
        _is_null(node, names, is_negated=is_negated)
    elif isinstance(node, (*EQUALITY, *ORDER)):
        _comparison(node, names)
    elif isinstance(node, exp.Between):
        sides = [_value(side, names) for side in (node.this, node.args["low"], node.args["high"])]
        _comparable(sides, needs_order=True)
    elif isinstance(node, exp.In):
        _membership(node, names)
    elif isinstance(node, exp.Column):
        if _column(node, names).kind != "boolean":
            raise StatementRefused(f"{node.name} stands alone and is no yes or no", todo="Compare it with something")
    elif isinstance(node, exp.Boolean):
        raise StatementRefused("a bare true or false decides nothing", todo="Take it out")
    else:
        raise _unknown_node(node)


def _is_null(node: exp.Is, names: Names, *, is_negated: bool) -> None:
    if not isinstance(node.expression, exp.Null):
        raise StatementRefused("is true and is false read a missing fact as no", todo="Write the column, or not column")
    if is_negated:
        # `is not null` arrives here too: it is a not above an is.
        raise StatementRefused("is null stands under not, which reads a missing fact as safe", todo="Take the not out")
    if not isinstance(node.this, exp.Column):
        raise StatementRefused("is null is for a column alone", todo="Name the column")
    _column(node.this, names)


def _comparison(node: exp.Expression, names: Names) -> None:
    sides = [_value(node.this, names), _value(node.expression, names)]
    _comparable(sides, needs_order=isinstance(node, ORDER))


def _membership(node: exp.In, names: Names) -> None:
    members = node.expressions
    if not members or not all(isinstance(_unsigned(member), exp.Literal) for member in members):
        raise StatementRefused("in takes a list of literals, none of them null", todo="List codes or numbers")
    first = _value(node.this, names)
    if not first.names_column:
        raise StatementRefused("in has no column before it", todo="Name the column")
    for member in members:
        _comparable([first, _value(member, names)], needs_order=False)


def _comparable(sides: list[Value], *, needs_order: bool) -> None:
    if not any(side.names_column for side in sides):
        raise StatementRefused("a comparison names no column", todo="Compare a column, or take it out")
    kinds = {side.kind for side in sides if side.kind != "quoted"}
    if "list" in kinds:
        raise StatementRefused("a list can only be tested with is null", todo="Let the state relation give a column")
    if len(kinds) != 1:
        raise StatementRefused("it compares different types", todo="Compare like with like")
    kind = kinds.pop()
    if needs_order and kind not in ORDERED:
        raise StatementRefused("only numbers and days have an order", todo="Use = or in")
    column_codes = [set(side.codes) for side in sides if side.names_column and kind == "code"]
    if len(column_codes) > 1 and not set.intersection(*column_codes):
        raise StatementRefused("it compares columns that share no code", todo="Mend the column's name")
    for literal in (side.literal for side in sides if side.kind == "quoted"):
        if kind != "code":
            raise StatementRefused("a quoted text is compared with a column that has no codes", todo="Compare a code")
        if not all(literal in codes for codes in column_codes):
            raise StatementRefused(f"{literal!r} is no code of that column", todo=_use(column_codes))


def _use(codes: list[set[str]]) -> str:
    return f"Use one of: {', '.join(sorted(set.intersection(*codes)))}"


def _value(node: exp.Expression, names: Names) -> Value:
    _plain(node)
    if isinstance(node, exp.Paren):
        return _value(node.this, names)
    if isinstance(node, exp.Column):
        return _column(node, names)
    if isinstance(node, exp.Literal):
        return Value("quoted", False, literal=node.this) if node.is_string else Value("number", False)
    if isinstance(node, exp.Boolean):
        return Value("boolean", False, literal=node.this)
    if isinstance(node, exp.Placeholder):
        if node.name not in names.parameters:
            raise StatementRefused(f"${node.name} is not declared in the block", todo="Add it to [rule.parameters]")
        return Value("number", False)
    if isinstance(node, exp.Neg):
        return _arithmetic([node.this], names, needs_column=not isinstance(node.this, (exp.Literal, exp.Placeholder)))
    if isinstance(node, exp.Abs):
        return _arithmetic([node.this], names, needs_column=True)
    if isinstance(node, ARITHMETIC):
        return _arithmetic([node.this, node.expression], names, needs_column=True)
    if isinstance(node, exp.Null):
        raise StatementRefused("nothing equals null", todo="Write: column is null")
    raise _unknown_node(node)


def _arithmetic(parts: list[exp.Expression], names: Names, *, needs_column: bool) -> Value:
    values = [_value(part, names) for part in parts]
    if any(value.kind != "number" for value in values):
        raise StatementRefused("it calculates with something that is no number", todo="Use numbers")
    names_column = any(value.names_column for value in values)
    if needs_column and not names_column:
        raise StatementRefused("it calculates without a column", todo="Write the result, or use a parameter")
    return Value("number", names_column)


def _column(node: exp.Column, names: Names) -> Value:
    if set(node.args) - {"this"} and any(node.args[part] for part in node.args if part != "this"):
        raise StatementRefused("a column is named with its relation", todo="Name the column alone")
    if node.name not in names.columns:
        raise StatementRefused(
            f"{node.name} is no column of its subject", todo="Mend the name; `caseround relations` lists the columns"
        )
    column = names.columns[node.name]
    return Value(KINDS[column.type], True, codes=tuple(column.codes) if column.type == "code" else ())


def _unsigned(node: exp.Expression) -> exp.Expression:
    return node.this if isinstance(node, exp.Neg) else node


def _plain(node: exp.Expression) -> None:
    allowed = PLAIN_ARGUMENTS.get(type(node))
    if allowed and any(value for name, value in node.args.items() if name not in allowed):
        raise StatementRefused("in and between are used in a form that the language does not have", todo="Use a list")


def _unknown_node(node: exp.Expression) -> StatementRefused:
    return StatementRefused(
        f"{type(node).__name__.lower()} is not part of the language",
        todo="Use comparisons, in, between, and, or, not, + - * and abs()",
    )
