"""The same relations on two engines: DuckDB as in every review, and a Spark-compatible one in this process."""

import datetime as dt
from collections import Counter
from decimal import Decimal
from pathlib import Path
from typing import Any

import duckdb
import pyarrow as pa

from pipeline.intake import take_in
from pipeline.log import RunLog, no_progress
from pipeline.policy import load
from pipeline.review.engine import build_audit, state_columns
from pipeline.review.graph import Relation
from pipeline.review.moments import Moment
from pipeline.review.previous import Desk
from pipeline.review.spark_dialect import flat_name, to_spark
from pipeline.review.store_views import read_store
from pipeline.settings import Source, Workspace
from tests.parity.caseload import TOLD_BY_TWO, write_caseload, write_policy

FIRST_DROP = dt.datetime(2026, 2, 20, 6, tzinfo=dt.UTC)
SECOND_DROP = dt.datetime(2026, 3, 1, 6, tzinfo=dt.UTC)
MOMENT = Moment(as_of=dt.date(2026, 3, 2), known_at=dt.datetime(2026, 3, 2, 6, tzinfo=dt.UTC))


def duckdb_side(folder: Path, *, seed: int) -> tuple[duckdb.DuckDBPyConnection, dict[str, Relation]]:
    """Take the awkward caseload in and build every relation; the store's relations stay readable beside them."""
    policy = load(write_policy(folder / "policy"), state_columns=state_columns())
    # Most rows contradict something on purpose; no share of held rows may stop the file.
    # One source sends everything each time, so that what it leaves out has ended.
    whole = Source(name="day_centre", match="actions*", feed="actions", delivers="snapshot")
    wards = tuple(Source(name="ward", match=f"{feed}_ward*", feed=feed) for feed in TOLD_BY_TWO)
    workspace = Workspace(root=folder, held_share_max=1.0, sources=(whole, *wards))
    drops = folder / "drops"
    write_caseload(drops, policy, seed=seed)
    for part, received_at in (("first", FIRST_DROP), ("second", SECOND_DROP)):
        for path in sorted((drops / part).iterdir()):
            target = workspace.inbox / part / path.name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes())
        take_in(workspace, policy, received_at=received_at, progress=no_progress, log=RunLog(None))
    con = duckdb.connect(":memory:", config={"threads": 2})
    con.execute("ATTACH ':memory:' AS built")
    desk = Desk(con, workspace, policy, read_store(workspace))
    return con, build_audit(desk, MOMENT, progress=no_progress, log=RunLog(None))


def rows_of(con: duckdb.DuckDBPyConnection, relation: str) -> pa.Table:
    """A relation's rows as Arrow, the way the other engine will get them."""
    return con.sql(f"SELECT * FROM {relation}").to_arrow_table()


def give(spark: Any, relation: str, rows: pa.Table) -> None:
    """Make one relation readable on the other engine under its flat name."""
    if rows.num_rows:
        frame = spark.createDataFrame(rows)
    else:
        # The client refuses a table without rows, so its types travel with one blank row that is left out again.
        blank = pa.table([pa.nulls(1, field.type) for field in rows.schema], schema=rows.schema)
        frame = spark.createDataFrame(blank).limit(0)
    frame.createOrReplaceTempView(flat_name(relation))


def differences(spark: Any, relation: Relation, expected: pa.Table) -> list[str]:
    """Where the other engine's rows are not these; names columns, and rows by their key."""
    found = spark.sql(to_spark(relation.sql)).toArrow()
    if found.column_names != expected.column_names:
        return [f"{relation.name}: columns {found.column_names}, not {expected.column_names}"]
    ours, theirs = _rows(expected), _rows(found)
    if Counter(ours) == Counter(theirs):
        return []
    lines = [f"{relation.name}: {len(ours)} rows on one engine, {len(theirs)} on the other"]
    places = [expected.column_names.index(name) for name in relation.header.key]
    by_key = {tuple(row[place] for place in places): row for row in theirs}
    for row in ours:
        other = by_key.get(tuple(row[place] for place in places))
        if other is not None and other != row:
            names = [name for name, a, b in zip(expected.column_names, row, other, strict=True) if a != b]
            pairs = [(a, b) for a, b in zip(row, other, strict=True) if a != b]
            lines.append(f"{relation.name}.{', '.join(names)}: {pairs[:2]}")
    return lines[:6]


def _rows(table: pa.Table) -> list[tuple]:
    columns = [[_plain(value) for value in column.to_pylist()] for column in table.columns]
    return list(zip(*columns, strict=True))


def _plain(value: Any) -> Any:
    """A value without what only the carrier adds: trailing zeros, a zone, the kind of list."""
    if isinstance(value, Decimal):
        return value.normalize() + 0
    if isinstance(value, dt.datetime):
        return value.replace(tzinfo=None)
    if isinstance(value, list):
        return tuple(_plain(part) for part in value)
    if isinstance(value, dict):
        return tuple(sorted((name, _plain(part)) for name, part in value.items()))
    return value
