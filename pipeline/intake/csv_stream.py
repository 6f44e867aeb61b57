"""Delimited text as a stream of all-text batches, each row with its number in the spreadsheet."""

from __future__ import annotations

import csv
import gzip
import io
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pacsv

from pipeline.intake.file_facts import is_compressed
from pipeline.intake.outcome import Refused

# Bounds the memory of a file of any length, even when every cell of it is wrong; larger blocks are hardly faster.
BLOCK = 4 << 20
HEAD = 1 << 20
DELIMITERS = (",", ";", "\t")


@dataclass(frozen=True)
class Header:
    """The first row with a filled cell: its cells without surrounding blanks, its row number, the file's delimiter."""

    headings: tuple[str, ...]
    row: int
    delimiter: str
    is_all: bool  # nothing but blanks follows


@dataclass(frozen=True)
class Batch:
    """Rows with as many cells as there are headings: columns c0, c1, ... as text, and `source_row`.

    Cells have no blanks around them, and one without anything else is None. `ragged` holds the rows among and before
    them that have more or fewer cells, as (row number, text).
    """

    rows: pa.Table
    ragged: tuple[tuple[int, str], ...]


def read_header(path: Path, *, expected: set[str]) -> Header:
    """The header, under the delimiter that gives most of the `expected` headings, then most headings."""
    with gzip.open(path) if is_compressed(path) else path.open("rb") as content:
        head = content.read(HEAD)
    # The file is known to be UTF-8; only a character that the end of the head cuts in two is left out.
    text = head.decode("utf-8-sig", errors="ignore")
    try:
        found = [_header(text, delimiter, is_whole=len(head) < HEAD) for delimiter in DELIMITERS]
    except (csv.Error, StopIteration):
        raise Refused("unreadable") from None
    return max(found, key=lambda header: (len(expected & set(header.headings)), len(header.headings)))


def _header(text: str, delimiter: str, *, is_whole: bool) -> Header:
    lines = io.StringIO(text, newline="")
    rows = csv.reader(lines, delimiter=delimiter)
    row, cells = 0, []
    while not any(cells):
        row, cells = row + 1, [cell.strip() for cell in next(rows)]
    return Header(tuple(cells), row, delimiter, is_whole and not lines.read().strip())


def stream(path: Path, header: Header) -> Iterator[Batch]:
    """The rows below the header. Raises Refused(unreadable) when the text cannot be cut into rows.

    Reading is single threaded because only then does the reader say which row is ragged. Rows without any filled cell
    are among them: they count in the numbers, as they do in a spreadsheet.
    """
    if header.is_all:
        return
    ragged: list[tuple[int, str]] = []

    def keep(row: pacsv.InvalidRow) -> str:
        ragged.append((row.number, row.text))
        return "skip"

    following = header.row + 1
    try:
        with _open(path, header, keep) as batches:
            for batch in batches:
                numbers = _numbers(following, batch.num_rows, [row for row, _ in ragged])
                # The reader is ahead of us: later ragged rows belong to a later batch.
                last = int(numbers[-1]) if len(numbers) else following - 1
                yield Batch(_numbered(batch, numbers), tuple(r for r in ragged if r[0] <= last))
                ragged[:] = [row for row in ragged if row[0] > last]
                following = last + 1
    except (pa.ArrowInvalid, OSError, EOFError):
        # The reader's message quotes the row, so it stops here.
        raise Refused("unreadable") from None
    if ragged:
        yield Batch(_numbered(_no_rows(header), np.array([])), tuple(ragged))


def ahead(batches: Iterable[Batch]) -> Iterator[Batch]:
    """The same batches; each is read while the one before it is judged."""
    rest = iter(batches)
    with ThreadPoolExecutor(max_workers=1) as reader:
        coming = reader.submit(next, rest, None)
        while (batch := coming.result()) is not None:
            coming = reader.submit(next, rest, None)
            yield batch


def _no_rows(header: Header) -> pa.RecordBatch:
    return pa.record_batch({name: pa.array([], pa.string()) for name in _names(header)})


def _names(header: Header) -> list[str]:
    return [f"c{place}" for place in range(len(header.headings))]


def _open(path: Path, header: Header, keep: object) -> pacsv.CSVStreamingReader:
    names = _names(header)
    content = pa.input_stream(str(path), compression="gzip" if is_compressed(path) else None)
    return pacsv.open_csv(
        content,
        read_options=pacsv.ReadOptions(
            use_threads=False, block_size=BLOCK, column_names=names, skip_rows_after_names=header.row
        ),
        parse_options=pacsv.ParseOptions(
            delimiter=header.delimiter, newlines_in_values=True, ignore_empty_lines=False, invalid_row_handler=keep
        ),
        convert_options=pacsv.ConvertOptions(
            column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=True, null_values=[""]
        ),
    )


def _numbers(first: int, count: int, ragged: list[int]) -> np.ndarray:
    """The row numbers of `count` whole rows from row `first` on, of which the ragged ones are not."""
    among = np.array([row for row in ragged if row >= first], dtype="int64")
    last, skipped = first + count, 0
    # Each ragged row among them pushes the last one further, perhaps past another ragged row.
    while (found := int(np.searchsorted(among, last, side="left"))) > skipped:
        last, skipped = first + count + found, found
    span = np.arange(first, last, dtype="int64")
    return span[~np.isin(span, among[:skipped])] if skipped else span


def _numbered(batch: pa.RecordBatch, numbers: np.ndarray) -> pa.Table:
    cells = [_trimmed(column) for column in batch.columns]
    return pa.table([*cells, pa.array(numbers, pa.int64())], names=[*batch.schema.names, "source_row"])


def _trimmed(cells: pa.Array) -> pa.Array:
    # Spreadsheets leave spaces, tabs and no-break spaces. Here this costs a twentieth of what it does in SQL.
    trimmed = pc.utf8_trim_whitespace(cells)
    blank = pc.equal(trimmed, "")
    return pc.if_else(blank, None, trimmed) if pc.any(blank).as_py() else trimmed
