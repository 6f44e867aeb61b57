"""One reading of one file: from its bytes to two staged Parquet files that nobody sees yet."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import duckdb
import pyarrow as pa
import pyarrow.parquet as pq

from pipeline import files
from pipeline.feeds.columns import HELD_SCHEMA, Feed, arrow_schema
from pipeline.feeds.store_layout import file_key
from pipeline.intake.cell_sql import literal, name
from pipeline.intake.csv_stream import Batch, ahead
from pipeline.intake.judging import Judge, Parted, Tally
from pipeline.intake.mapping import Plan
from pipeline.intake.outcome import Refused

# A share of a few rows says nothing about an export.
ENOUGH_ROWS = 50


@dataclass(frozen=True)
class Staged:
    """A finished reading, not yet in the store: two Parquet files, and what its receipt will say of the rows."""

    accepted: Path
    held: Path
    tally: Tally
    first_on: str | None
    last_on: str | None


def stage(
    con: duckdb.DuckDBPyConnection, batches: Callable[[], Iterable[Batch]], plan: Plan, *, file_id: str,
    received_local: datetime, staging: Path, held_share_max: float,
) -> Staged:  # fmt: skip
    """Read `batches()` once, or twice when the first pass finds one record twice with different content.

    `con` is from `judging.open_parser`; `staging` is an existing folder for unfinished files. Raises Refused:
    identity_value, free_text, too_many_held, unreadable.
    """
    key = file_key(file_id, plan.contract)
    accepted, held = staging / f".{key}.accepted.tmp", staging / f".{key}.held.tmp"
    marked: frozenset[int] = frozenset()
    for _ in range(2):
        judge = Judge(con, plan, file_id=file_id, received_local=received_local, marked=marked)
        _write(judge, batches(), plan.feed, accepted=accepted, held=held)
        marked = duplicates(con, accepted, plan.feed)
        if not marked:
            break
    _refuse_what_is_wrong_as_a_whole(judge, held_share_max)
    first_on, last_on = span(con, accepted, plan.feed)
    return Staged(accepted, held, judge.tally, first_on, last_on)


def _write(judge: Judge, batches: Iterable[Batch], feed: Feed, *, accepted: Path, held: Path) -> None:
    with (
        writer(accepted, arrow_schema(feed), unique=(feed.id_column, "content_key", "source_row")) as good,
        writer(held, HELD_SCHEMA) as bad,
        ThreadPoolExecutor(max_workers=1) as writing,
    ):
        written: Future[None] | None = None
        for batch in ahead(batches):
            parted = judge.part(batch)
            # A batch is written while the next is judged, and no more than one waits for it.
            if written:
                written.result()
            written = writing.submit(_append, parted, good=good, bad=bad)
        if written:
            written.result()


def _append(parted: Parted, *, good: pq.ParquetWriter, bad: pq.ParquetWriter) -> None:
    if parted.accepted.num_rows:
        good.write_table(parted.accepted)
    if parted.held.num_rows:
        bad.write_table(parted.held)


@contextmanager
def writer(path: Path, schema: pa.Schema, *, unique: Collection[str] = ()) -> Iterator[pq.ParquetWriter]:
    """A Parquet writer whose bytes depend on the rows alone; a dictionary of the `unique` columns would be wasted."""
    files.remove(path)
    repeating = [name for leaf in schema for name in _leaves(leaf) if leaf.name not in unique]
    with pq.ParquetWriter(path, schema, compression="zstd", store_schema=False, use_dictionary=repeating) as out:
        yield out


def _leaves(column: pa.Field) -> list[str]:
    """A column's name in a Parquet file, or those of the parts of a list of structs."""
    if not pa.types.is_list(column.type):
        return [column.name]
    return [f"{column.name}.list.element.{part.name}" for part in column.type.value_type]


def duplicates(con: duckdb.DuckDBPyConnection, accepted: Path, feed: Feed) -> frozenset[int]:
    """The rows of a record that the file holds twice with one time of change and different content, all of them.

    Ids that occur once are left out first, which keeps the comparison small in an ordinary file.
    """
    rows, key = f"read_parquet({literal(str(accepted))})", name(feed.id_column)
    found = con.sql(f"""
        WITH repeated AS (SELECT {key} FROM {rows} GROUP BY {key} HAVING count(*) > 1),
            disputed AS (
                SELECT {key}, updated_at FROM {rows} SEMI JOIN repeated USING ({key})
                GROUP BY {key}, updated_at HAVING count(DISTINCT content_key) > 1)
        SELECT source_row FROM {rows} AS rows JOIN disputed
            ON rows.{key} = disputed.{key} AND rows.updated_at IS NOT DISTINCT FROM disputed.updated_at
    """).fetchall()
    return frozenset(row for (row,) in found)


def _refuse_what_is_wrong_as_a_whole(judge: Judge, held_share_max: float) -> None:
    tally = judge.tally
    if sentences := judge.free_text():
        raise Refused("free_text", columns=sentences)
    if tally.rows_read >= ENOUGH_ROWS and tally.held > held_share_max * tally.rows_read:
        by_code = dict(sorted(tally.held_by_code.items()))
        raise Refused("too_many_held", rows_read=tally.rows_read, held=tally.held, held_by_code=by_code)


def span(con: duckdb.DuckDBPyConnection, accepted: Path, feed: Feed) -> tuple[str | None, str | None]:
    """The first and the last day on which the accepted rows' events happened, ISO 8601."""
    event = name(feed.event_column)
    [days] = con.sql(f"""
        SELECT CAST(CAST(min({event}) AS DATE) AS VARCHAR), CAST(CAST(max({event}) AS DATE) AS VARCHAR)
        FROM read_parquet({literal(str(accepted))})
    """).fetchall()
    return days
