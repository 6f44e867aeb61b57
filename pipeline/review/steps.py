"""Running SELECTs into the tables and views that they are named after."""

from collections.abc import Callable, Sequence

import duckdb

from pipeline.log import Progress, RunLog
from pipeline.review.graph import Relation


def run_one(con: duckdb.DuckDBPyConnection, relation: Relation, *, columns: tuple[str, ...] = ()) -> int | None:
    """Make one relation from its SELECT, all of it or some columns; the number of its rows, None for a view."""
    kind = "VIEW" if relation.header.stored == "view" else "TABLE"
    sql = relation.sql
    if columns:
        listed = ", ".join(f'"{name}"' for name in columns)
        sql = f"SELECT {listed} FROM ({sql}\n)"
    made = con.execute(f"CREATE {kind} {relation.name} AS {sql}").fetchone()
    return int(made[0]) if kind == "TABLE" else None


def run_all(
    con: duckdb.DuckDBPyConnection,
    steps: Sequence[Relation],
    *,
    needs: Callable[[Relation], None],
    made: Callable[[str], None],
    progress: Progress,
    log: RunLog,
) -> None:
    """Make every relation in turn and write review.steps.

    `needs` is called before each and returns once what it reads beside the other relations is there; `made` gets the
    name of each table that is finished.
    """
    rows = []
    for step, relation in enumerate(steps, start=1):
        needs(relation)
        count = run_one(con, relation)
        if count is not None:
            made(relation.name)
        rows.append((step, relation.name, count))
        progress("review", step, len(steps))
        log.event("relation_built", relation=relation.name, rows=count)
    con.executemany("INSERT INTO review.steps VALUES (?, ?, ?)", rows)
