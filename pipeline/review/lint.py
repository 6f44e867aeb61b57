"""What an SQL file may hold: the subset that gives the same rows on both engines, and a header that is true.

Each refused construct was measured to differ between engines, or between two runs on one. The name of the fault is
what a test plants and what the message says, so that the author finds the rule, not only the line.
"""

from collections.abc import Iterable, Iterator, Mapping

import duckdb
import sqlglot
from sqlglot import exp

from pipeline.review.graph import Relation, true_inputs

# Functions that give another answer on another day, thread count or engine.
REFUSED_FUNCTIONS = {
    "any_value", "arbitrary", "first", "last", "hash", "quantile_cont", "quantile_disc", "quantile", "percentile_cont",
    "approx_quantile", "approx_count_distinct", "dayofweek", "weekday", "isodow", "to_days", "to_hours",
    "to_minutes", "try_strptime", "strptime", "now", "current_date", "current_timestamp", "today", "random", "uuid",
    "gen_random_uuid", "mode", "to_json", "get_current_timestamp", "current_localtimestamp", "nextval",
}  # fmt: skip
FUNCTION_NODES: dict[type[exp.Expression], str] = {
    exp.AnyValue: "any_value",
    exp.First: "first",
    exp.Last: "last",
    exp.Quantile: "quantile",
    exp.PercentileCont: "quantile_cont",
    exp.DayOfWeek: "dayofweek",
    exp.DayOfWeekIso: "isodow",
    exp.StrToTime: "strptime",
    exp.CurrentDate: "current_date",
    exp.CurrentTimestamp: "now",
    exp.Rand: "random",
    exp.Uuid: "uuid",
    exp.ToDays: "to_days",
}
NOT_DATE_ENDINGS = ("_at", "_local", "known_at", "looked_at")


def sql_faults(sql: str, *, relation_names: Iterable[str] = ()) -> list[str]:
    """Names of everything in one SELECT that the portable subset refuses; empty when it is fine."""
    faults: set[str] = set()
    statements = duckdb.extract_statements(sql)
    if len(statements) != 1 or statements[0].type != duckdb.StatementType.SELECT:
        return ["not_one_select"]
    tree = sqlglot.parse_one(sql, dialect="duckdb")
    faults.update(_scope_faults(tree, {name.partition(".")[2] for name in relation_names}))
    for node in tree.walk():
        faults.update(_node_faults(node))
    if set(true_inputs(sql)) != {f"{table.db}.{table.name}" for table in tree.find_all(exp.Table) if table.db}:
        faults.add("inputs_misread")
    if list(tree.find_all(exp.Placeholder, exp.Parameter)) or "{{" in sql:
        faults.add("parameter")
    final = tree.this if isinstance(tree, exp.Subquery) else tree
    if any(
        isinstance(column, exp.Star) or (column.find(exp.Star) and isinstance(column, exp.Column))
        for select in _outer_selects(final)
        for column in select.expressions
    ):
        faults.add("star_at_the_end")
    return sorted(faults)


def _outer_selects(tree: exp.Expression) -> Iterator[exp.Select]:
    if isinstance(tree, exp.SetOperation):
        yield from _outer_selects(tree.left)
        yield from _outer_selects(tree.right)
    elif isinstance(tree, exp.Select):
        yield tree


def _scope_faults(tree: exp.Expression, bare_names: set[str]) -> Iterator[str]:
    ctes = {cte.alias for cte in tree.find_all(exp.CTE)}
    if ctes & bare_names:
        yield "cte_named_like_a_relation"
    for table in tree.find_all(exp.Table):
        if isinstance(table.this, exp.Identifier) and not table.db and table.name not in ctes:
            yield "relation_without_schema"
        if table.db and table.catalog:
            yield "relation_with_catalog"


def _node_faults(node: exp.Expression) -> Iterator[str]:
    yield from _clause_faults(node)
    yield from _function_faults(node)
    yield from _date_faults(node)
    yield from _number_faults(node)


def _clause_faults(node: exp.Expression) -> Iterator[str]:
    if isinstance(node, exp.Qualify):
        yield "qualify"
    if isinstance(node, exp.Group) and node.args.get("all"):
        yield "group_by_all"
    if isinstance(node, exp.Order) and any(
        isinstance(key, exp.Ordered) and isinstance(key.this, exp.Var) and key.this.name.upper() == "ALL"
        for key in node.expressions
    ):
        yield "order_by_all"
    if isinstance(node, exp.Star) and (node.args.get("except_") or node.args.get("except") or node.args.get("replace")):
        yield "star_exclude"
    if isinstance(node, exp.SetOperation) and node.args.get("by_name"):
        yield "union_by_name"
    if isinstance(node, exp.Join):
        if str(node.args.get("method") or "").upper() in ("ASOF", "POSITIONAL", "NATURAL"):
            yield f"{str(node.args['method']).lower()}_join"
        if _is_unnest(node.this):
            yield "unnest_in_from"
    if isinstance(node, exp.From) and _is_unnest(node.this):
        yield "unnest_in_from"
    if isinstance(node, exp.WindowSpec) and str(node.args.get("kind") or "").upper() == "RANGE":
        yield "range_frame"
    if isinstance(node, exp.ArrayAgg) and node.find(exp.Distinct) and node.find(exp.Order):
        yield "list_distinct_order_by"


def _is_unnest(source: exp.Expression | None) -> bool:
    if isinstance(source, exp.Lateral):
        source = source.this
    return isinstance(source, exp.Unnest | exp.Explode)


def _function_faults(node: exp.Expression) -> Iterator[str]:
    for kind, name in FUNCTION_NODES.items():
        # FIRST_VALUE and LAST_VALUE over a unique order are fine and are other nodes.
        if type(node) is kind:
            yield name
    if isinstance(node, exp.Anonymous) and node.name.lower() in REFUSED_FUNCTIONS:
        yield node.name.lower()
    if isinstance(node, exp.Extract) and node.name.lower() in ("dow", "dayofweek", "isodow", "weekday"):
        yield "dayofweek"


def _date_faults(node: exp.Expression) -> Iterator[str]:
    if isinstance(node, exp.Interval) and not isinstance(node.this, exp.Literal):
        yield "interval_of_a_column"
    if isinstance(node, exp.DateDiff):
        if (node.text("unit") or "day").lower() not in ("day", "days"):
            yield "date_diff_not_in_days"
        elif not (_may_be_date(node.this) and _may_be_date(node.expression)):
            yield "date_diff_of_a_timestamp"
    if isinstance(node, exp.TimestampDiff | exp.DatetimeDiff):
        yield "date_diff_of_a_timestamp"
    if isinstance(node, exp.DataType) and node.this in (exp.DataType.Type.TIMESTAMPTZ, exp.DataType.Type.TIMESTAMPLTZ):
        yield "timestamp_with_zone"


def _may_be_date(node: exp.Expression) -> bool:
    if isinstance(node, exp.Column):
        return not node.name.endswith(NOT_DATE_ENDINGS)
    if isinstance(node, exp.Cast):
        return node.to.this == exp.DataType.Type.DATE
    return True


def _number_faults(node: exp.Expression) -> Iterator[str]:
    if isinstance(node, exp.Sum | exp.Avg | exp.Stddev | exp.StddevSamp | exp.StddevPop | exp.Variance):
        exact = isinstance(node, exp.Sum) and not any(_is_double(cast.to) for cast in node.find_all(exp.Cast))
        if not exact and not _is_rounded(node):
            yield "unrounded_double_sum"
    if isinstance(node, exp.Div | exp.IntDiv | exp.Mod) and not _cannot_be_zero(node.expression):
        yield "division_without_nullif"


def _is_double(kind: exp.DataType) -> bool:
    return kind.this in (exp.DataType.Type.DOUBLE, exp.DataType.Type.FLOAT)


def _is_rounded(node: exp.Expression) -> bool:
    parent = node.parent
    while parent is not None and not isinstance(parent, exp.Select | exp.Subquery):
        if isinstance(parent, exp.Round):
            return True
        if isinstance(parent, exp.Cast) and parent.to.this == exp.DataType.Type.DECIMAL:
            return True
        parent = parent.parent
    return False


def _cannot_be_zero(node: exp.Expression) -> bool:
    if isinstance(node, exp.Paren | exp.Cast):
        return _cannot_be_zero(node.this)
    if isinstance(node, exp.Literal):
        return float(node.this) != 0 if node.is_number else False
    # Any other NULLIF lets a nought through.
    return isinstance(node, exp.Nullif) and node.expression == exp.Literal.number(0)


def header_faults(relation: Relation, described: Mapping[str, str]) -> list[str]:
    """Where a header and its SELECT disagree; `described` gives name and DuckDB type of each real output column."""
    header = relation.header
    faults = [f"no {name}" for name in ("question", "grain", "key", "columns") if not getattr(header, name)]
    if tuple(sorted(header.inputs)) != relation.inputs:
        told, real = set(header.inputs), set(relation.inputs)
        faults.append(f"inputs: told and not read {sorted(told - real)}, read and not told {sorted(real - told)}")
    names = [column.name for column in header.columns]
    if names != list(described):
        faults.append(f"columns: header {names}, SELECT {list(described)}")
    for column in header.columns:
        real = described.get(column.name)
        if real is not None and not type_agrees(column.type, real):
            faults.append(f"{column.name}: header says {column.type}, the SELECT gives {real}")
    faults += [f"key names {name}, which is no column" for name in header.key if name not in names]
    return faults


def type_agrees(declared: str, real: str) -> bool:
    """Whether a header's type word stands for that DuckDB type."""
    if declared == "list":
        return real.endswith("[]")
    if declared == "number":
        return real.startswith("DECIMAL")
    plain = {"boolean": "BOOLEAN", "integer": "INTEGER", "date": "DATE", "timestamp": "TIMESTAMP"}
    return real == plain.get(declared, "VARCHAR")
