"""One batch after another: parse in DuckDB, judge with pandera, part the rows, and look for identity on the way."""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

import duckdb
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc

from pipeline.feeds.columns import HELD_SCHEMA, arrow_schema
from pipeline.feeds.schemas import FLAGS, ID_LONGEST, ID_PATTERN, failures, is_judged, schema_for
from pipeline.feeds.store_layout import file_key
from pipeline.feeds.wound_codes import find
from pipeline.intake.batch_sql import AGE_CAPPED, statements
from pipeline.intake.csv_stream import Batch
from pipeline.intake.identity import CANDIDATE, identifies
from pipeline.intake.mapping import Plan
from pipeline.intake.outcome import Refused
from pipeline.intake.wound_reading import NOTES, read_codes, reads_codes

# From so many words a cell on average, an unmapped column is taken for sentences.
FREE_TEXT_WORDS = 4
_REASONS = pa.schema([("source_row", pa.int64()), ("code", pa.string()), ("column_name", pa.string())])


def open_parser(spill: Path) -> duckdb.DuckDBPyConnection:
    """An in-memory DuckDB whose answers depend on nothing of the machine; what does not fit goes to `spill`."""
    con = duckdb.connect(config={"memory_limit": "256MB", "temp_directory": str(spill)})
    con.execute("SET TimeZone = 'UTC'")
    return con


@dataclass(frozen=True)
class Parted:
    """The rows of one batch: accepted ones in the feed's schema, held ones in the held schema, in spreadsheet order."""

    accepted: pa.Table
    held: pa.Table


@dataclass
class Tally:
    """What one reading has seen so far. `words` and `filled` count those of each unmapped column."""

    rows_read: int = 0
    accepted: int = 0
    held: int = 0
    age_capped: int = 0
    codes_noted: Counter[str] = field(default_factory=Counter)
    held_by_code: Counter[str] = field(default_factory=Counter)
    words: Counter[str] = field(default_factory=Counter)
    filled: Counter[str] = field(default_factory=Counter)


class Judge:
    """Judges the batches of one file. `marked` are the rows known to be duplicates from an earlier pass."""

    def __init__(
        self, con: duckdb.DuckDBPyConnection, plan: Plan, *, file_id: str, received_local: datetime,
        marked: Iterable[int] = (),
    ) -> None:  # fmt: skip
        self.tally = Tally()
        self._con = con
        self._plan = plan
        self._schema = arrow_schema(plan.feed)
        self._rules = schema_for(plan.feed, columns=plan.columns, scales=plan.scales)
        self._sql = statements(plan, received_local=received_local)
        self._file_key = file_key(file_id, plan.contract)
        self._marked = frozenset(marked)
        self._frame = [(c.name, c.low is not None) for c in plan.feed.fixed if c.name in plan.columns and is_judged(c)]
        order = [(name, place) for place, name in enumerate(plan.columns)]
        self._order = pa.table({"column_name": [n for n, _ in order], "position": [p for _, p in order]})

    def part(self, batch: Batch) -> Parted:
        """Part one batch into accepted and held. Raises Refused: identity_value."""
        self._con.register("batch", self._read(batch.rows))
        self._look_for_identity(batch)
        parsed = self._con.sql(self._sql.parse).to_arrow_table()
        reasons = self._reasons(parsed)
        ragged = self._ragged(batch.ragged)
        good = parsed
        if reasons.num_rows:
            good = parsed.filter(pc.invert(pc.is_in(parsed["source_row"], reasons["source_row"].combine_chunks())))
        held = pa.concat_tables([self._held(reasons), ragged]).sort_by("source_row")
        self._count(good, held, read=parsed.num_rows + ragged.num_rows)
        return Parted(accepted=self._accepted(good), held=held)

    def free_text(self) -> tuple[str, ...]:
        """The unmapped headings that hold sentences so far and are not listed under ignore."""
        means = {heading: self.tally.words[heading] / count for heading, count in self.tally.filled.items() if count}
        ignored = self._plan.source.ignore
        return tuple(sorted(h for h, mean in means.items() if mean >= FREE_TEXT_WORDS and h not in ignored))

    def _read(self, rows: pa.Table) -> pa.Table:
        return read_codes(rows, self._plan) if reads_codes(self._plan.feed) else rows

    def _count(self, good: pa.Table, held: pa.Table, *, read: int) -> None:
        tally = self.tally
        tally.rows_read += read
        tally.accepted += good.num_rows
        tally.held += held.num_rows
        tally.age_capped += pc.sum(good[AGE_CAPPED]).as_py() or 0
        if NOTES in good.column_names:
            for noted in pc.value_counts(good[NOTES].drop_null()).to_pylist():
                tally.codes_noted.update(dict.fromkeys(noted["values"].split(";"), noted["counts"]))
        for codes in held["codes"].to_pylist():
            tally.held_by_code.update(set(codes.split(";")))

    def _accepted(self, good: pa.Table) -> pa.Table:
        key = pa.repeat(pa.scalar(self._file_key), good.num_rows)
        return good.append_column("file_key", key).select(self._schema.names).cast(self._schema)

    def _reasons(self, parsed: pa.Table) -> pa.Table:
        """Every reason of a batch once: source_row, code, column_name."""
        names = [f"judge_{name}" if is_number else name for name, is_number in self._frame]
        frame = parsed.select([*names, *FLAGS]).to_pandas()
        frame.columns = [*(name for name, _ in self._frame), *FLAGS]
        frame.index = parsed["source_row"].to_pandas()
        found = failures(self._rules, frame)
        suspects = found.loc[found["code"].isin(FLAGS), "source_row"].unique()
        plain = found[~found["code"].isin(FLAGS)].rename(columns={"column": "column_name"})
        parts = [_table(plain)]
        if len(suspects):
            self._con.register("suspects", pa.table({"source_row": pa.array(suspects, pa.int64())}))
            parts.append(self._con.sql(self._sql.reasons).to_arrow_table().cast(_REASONS))
        marked = frame.index[frame.index.isin(self._marked)].tolist()
        if marked:
            parts.append(_all_of(marked, code="duplicate_id", column=self._plan.feed.id_column))
        return pa.concat_tables(parts)

    def _held(self, reasons: pa.Table) -> pa.Table:
        if not reasons.num_rows:
            return HELD_SCHEMA.empty_table()
        self._con.register("reasons", reasons)
        self._con.register("column_order", self._order)
        by_row = self._con.sql("""
            SELECT source_row, string_agg(code, ';' ORDER BY position, code) AS codes,
                string_agg(column_name, ';' ORDER BY position, code) AS columns
            FROM (SELECT DISTINCT source_row, code, column_name FROM reasons) JOIN column_order USING (column_name)
            GROUP BY source_row
        """).to_arrow_table()
        self._con.register("reasons_by_row", by_row)
        held = self._con.sql(self._sql.held).to_arrow_table().select(HELD_SCHEMA.names).cast(HELD_SCHEMA)
        # A held row keeps the text of its cells, so all of them are searched, whatever the column.
        likely = held.filter(pc.match_substring_regex(held["raw"], CANDIDATE))
        for row, raw in zip(likely["source_row"].to_pylist(), likely["raw"].to_pylist(), strict=True):
            for column, value in json.loads(raw).items():
                if value and identifies(value) and not self._is_code(column, value):
                    raise Refused("identity_value", columns=(column,), row=row)
        return held

    def _is_code(self, column: str, value: str) -> bool:
        # One SNOMED CT concept in ten passes the check digit of a national number of ten digits.
        return reads_codes(self._plan.feed) and find(value, column=column) is not None

    def _ragged(self, rows: Iterable[tuple[int, str]]) -> pa.Table:
        """Rows with too many or too few cells, held with what can be told of them."""
        held = []
        for number, text in rows:
            cells = next(csv.reader([text], delimiter=self._plan.delimiter), [])
            if not any(cell.strip() for cell in cells):
                continue
            if any(identifies(cell) for cell in cells):
                raise Refused("identity_value", row=number)
            held.append({"source_row": number, **_misfit(self._plan, cells)})
        return pa.Table.from_pylist(held, schema=HELD_SCHEMA)

    def _look_for_identity(self, batch: Batch) -> None:
        unmapped = {f"c{place}" for _, place in self._plan.dropped}
        for heading, column in self._sql.scanned:
            values = batch.rows[column]
            likely = pc.match_substring_regex(values, CANDIDATE)
            for row, value in zip(
                batch.rows["source_row"].filter(likely).to_pylist(), values.filter(likely).to_pylist(), strict=True
            ):
                if identifies(value):
                    raise Refused("identity_value", columns=(heading,), row=row)
            if column in unmapped:
                self.tally.words[heading] += pc.sum(pc.count_substring_regex(values, r"\S+")).as_py() or 0
                self.tally.filled[heading] += pc.sum(pc.match_substring_regex(values, r"\S")).as_py() or 0


def _table(found: pd.DataFrame) -> pa.Table:
    return pa.Table.from_pandas(found[list(_REASONS.names)], schema=_REASONS, preserve_index=False)


def _all_of(rows: list[int], *, code: str, column: str) -> pa.Table:
    count = len(rows)
    return pa.table({"source_row": rows, "code": [code] * count, "column_name": [column] * count}, schema=_REASONS)


def _sound_id(cell: str | None) -> str | None:
    return cell if cell and len(cell) <= ID_LONGEST and re.fullmatch(ID_PATTERN, cell) else None


def _misfit(plan: Plan, cells: list[str]) -> dict[str, str | None]:
    """What is kept of a row whose cells do not line up with the headings.

    Cells up to the first unmapped heading: after it, text that must never be stored may have slipped under one of ours.
    """
    ends = min((place for _, place in plan.dropped), default=len(plan.headings))
    kept = {
        name: cells[place] for name, place in sorted(plan.positions.items(), key=lambda one: one[1])
        if place < min(ends, len(cells))
    }  # fmt: skip
    return {
        "record_id": _sound_id(kept.get(plan.feed.id_column)),
        "client_id": _sound_id(kept.get("client_id")),
        "codes": "wrong_cell_count",
        "columns": "",
        "raw": json.dumps(kept, ensure_ascii=False),
    }
