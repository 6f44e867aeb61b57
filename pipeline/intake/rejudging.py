"""Rows held for an unknown scale, judged again from their kept text when the policy has learned the scale.

Only for files that have left the inbox: one that still lies there is taken in again as a whole.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

import duckdb
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from pipeline.feeds.columns import FEEDS, HELD_SCHEMA, arrow_schema
from pipeline.feeds.store_layout import Receipt, accepted_path, file_key, held_path
from pipeline.intake.csv_stream import Batch
from pipeline.intake.judging import Judge, Parted
from pipeline.intake.mapping import Plan, ScaleItems
from pipeline.intake.reading import Staged, duplicates, span, writer
from pipeline.settings import Source

CODE = "unknown_scale"
ROWS_AT_A_TIME = 50_000


@dataclass(frozen=True)
class Kept:
    """A reading in the store, and how the same file would be read today."""

    receipt: Receipt
    source: Source
    contract: str


def stage_again(
    con: duckdb.DuckDBPyConnection,
    kept: Kept,
    *,
    scales: ScaleItems,
    zone: str,
    store: Path,
    staging: Path,
    received_local: datetime,
) -> tuple[Plan, Staged] | None:
    """A new reading: the old accepted rows and those held rows that are sound now; None when no row would change.

    The rows read stay as many as they were: read = accepted + held kept.
    """
    receipt, feed = kept.receipt, kept.receipt.feed
    old = pq.read_table(held_path(store, feed=feed, key=receipt.file_key), schema=HELD_SCHEMA)
    again = old.filter(_may_be_sound(old, kept, scales))
    if not again.num_rows:
        return None
    plan = _plan(kept, again, scales=scales, zone=zone)
    key = file_key(receipt.file_id, kept.contract)
    good, bad = staging / f".{key}.accepted.tmp", staging / f".{key}.held.tmp"
    accepted = accepted_path(store, feed=feed, key=receipt.file_key)
    judge, parted = _part(con, again, plan, kept=kept, received_local=received_local, accepted=accepted, good=good)
    if not judge.tally.accepted:
        return None
    first_on, last_on = span(con, good, plan.feed)
    rest = old.filter(pc.invert(pc.is_in(old["source_row"], again["source_row"].combine_chunks())))
    held = pa.concat_tables([rest, *(one.held for one in parted)]).sort_by("source_row")
    with writer(bad, HELD_SCHEMA) as out:
        out.write_table(held)
    codes = Counter(code for joined in held["codes"].to_pylist() for code in set(joined.split(";")))
    tally = replace(
        judge.tally, rows_read=receipt.rows_read, accepted=receipt.accepted + judge.tally.accepted, held=held.num_rows,
        held_by_code=codes, age_capped=receipt.age_capped,
    )  # fmt: skip
    return plan, Staged(good, bad, tally, first_on, last_on)


def _part(
    con: duckdb.DuckDBPyConnection, again: pa.Table, plan: Plan, *, kept: Kept, received_local: datetime,
    accepted: Path, good: Path,
) -> tuple[Judge, list[Parted]]:  # fmt: skip
    """Judge the kept rows and write `good`; rows that were accepted before stay, whatever a later one says."""
    marked: frozenset[int] = frozenset()
    while True:
        judge = Judge(con, plan, file_id=kept.receipt.file_id, received_local=received_local, marked=marked)
        parted = [judge.part(batch) for batch in _batches(again, plan)]
        with writer(good, arrow_schema(plan.feed)) as out:
            _copy(accepted, out, key=file_key(kept.receipt.file_id, kept.contract))
            for one in parted:
                out.write_table(one.accepted)
        disputed = duplicates(con, good, plan.feed) & set(again["source_row"].to_pylist())
        if not disputed:
            return judge, parted
        marked |= disputed


def _may_be_sound(old: pa.Table, kept: Kept, scales: ScaleItems) -> pa.Array:
    """Held for the scale, which is known now, and no item of it was left out when the file was read."""
    dropped, recode = set(kept.receipt.columns_dropped), kept.source.codes.get("scale", {})
    sound = []
    for codes, raw in zip(old["codes"].to_pylist(), old["raw"].to_pylist(), strict=True):
        scale = json.loads(raw).get("scale") if CODE in codes.split(";") else None
        items = scales.get(recode.get(scale, scale))
        sound.append(items is not None and not dropped & set(items))
    return pa.array(sound, pa.bool_())


def _plan(kept: Kept, again: pa.Table, *, scales: ScaleItems, zone: str) -> Plan:
    known = {column.name for column in FEEDS[kept.receipt.feed].fixed} | {i for items in scales.values() for i in items}
    headings = tuple(sorted({name for raw in again["raw"].to_pylist() for name in json.loads(raw)} & known))
    return Plan(
        feed=FEEDS[kept.receipt.feed], source=replace(kept.source, updated_at=None), headings=headings,
        positions={heading: place for place, heading in enumerate(headings)},
        dropped=(), scales=scales, contract=kept.contract, zone=zone,
    )  # fmt: skip


def _batches(again: pa.Table, plan: Plan) -> Iterator[Batch]:
    for start in range(0, again.num_rows, ROWS_AT_A_TIME):
        part = again.slice(start, ROWS_AT_A_TIME)
        cells = [json.loads(raw) for raw in part["raw"].to_pylist()]
        columns = {
            f"c{place}": pa.array([row.get(heading) for row in cells], pa.string())
            for place, heading in enumerate(plan.headings)
        }
        yield Batch(pa.table({**columns, "source_row": part["source_row"]}), ragged=())


def _copy(accepted: Path, out: pq.ParquetWriter, *, key: str) -> None:
    with pq.ParquetFile(accepted) as source:
        for batch in source.iter_batches(ROWS_AT_A_TIME):
            rows = pa.Table.from_batches([batch])
            place = rows.schema.get_field_index("file_key")
            out.write_table(rows.set_column(place, "file_key", pa.repeat(pa.scalar(key), rows.num_rows)))
