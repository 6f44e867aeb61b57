"""The same SELECT for the other engine, for the day when one machine is not enough."""

import re

import sqlglot
from sqlglot import exp


def flat_name(relation: str) -> str:
    """`risk.scores` as `risk__scores`: a temporary view of Spark cannot have a schema."""
    return relation.replace(".", "__")


def to_spark(sql: str) -> str:
    """Translate one SELECT of the portable subset; every relation is read under its flat name."""
    tree = sqlglot.parse_one(sql, dialect="duckdb")
    for table in list(tree.find_all(exp.Table)):
        if table.db:
            plain = table.name
            if not table.alias:
                # Columns are written with the relation's plain name, which therefore stays as the alias.
                table.set("alias", exp.TableAlias(this=exp.to_identifier(plain)))
            table.set("this", exp.to_identifier(f"{table.db}__{plain}"))
            table.set("db", None)
    for split in list(tree.find_all(exp.Split)):
        # Spark splits by a pattern. A quoted one is not read by every engine that speaks its protocol; an escaped is.
        pattern = exp.Literal.string(re.escape(split.expression.name))
        split.replace(exp.RegexpSplit(this=split.this.copy(), expression=pattern))
    return tree.sql(dialect="spark")
