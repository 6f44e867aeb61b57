"""The rows that wait for a correction, and, only when asked for, what stood in them."""

import csv
import io
from dataclasses import dataclass
from pathlib import Path

import pyarrow.parquet as pq

from pipeline import files, warehouse
from pipeline.feeds.store_layout import held_path, read_receipts
from pipeline.settings import Workspace
from pipeline.tables import Table

_WAITING = """
SELECT held.feed, files.file_name, held.source_row, held.record_id, held.client_id, held.column_name, held.code,
    held.status, held.hides_newer, held.file_id
FROM quality.held AS held
LEFT JOIN (
    SELECT file_id, feed, min(file_name) AS file_name FROM quality.files GROUP BY file_id, feed
) AS files ON files.file_id = held.file_id AND files.feed = held.feed
WHERE (? IS NULL OR held.feed = ?)
    AND (? IS NULL OR held.code = ?)
    AND (? IS NULL OR ? IN (files.file_name, regexp_extract(files.file_name, '[^/]+$'), held.file_id))
ORDER BY held.feed, files.file_name, held.file_id, held.source_row, held.column_name, held.code, held.record_id
"""


@dataclass(frozen=True)
class Wanted:
    """Which waiting rows: None means all; `file` is a file's path below inbox/, its name, or its id."""

    feed: str | None = None
    code: str | None = None
    file: str | None = None


def waiting_rows(workspace: Workspace, wanted: Wanted) -> Table:
    """One row per held or waiting row and code, without any cell but ids. Raises NoWarehouse."""
    con = warehouse.open_readonly(workspace.warehouse)
    try:
        asked = [value for value in (wanted.feed, wanted.code, wanted.file) for _ in ("is it asked for", "which")]
        found = con.execute(_WAITING, asked)
        headings = tuple(column[0] for column in found.description)
        return Table(headings, tuple(found.fetchall()))
    finally:
        con.close()


def write_values(workspace: Workspace, rows: Table, *, path: Path) -> int:
    """Write what stood in the rows as CSV to a file that only its owner can read; returns how many rows were found.

    The cells stand as one JSON text, so that no spreadsheet takes one for a formula. Rows that wait only because their
    client is unknown were accepted, so the store has no held text of them and they are left out.
    """
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\n")
    lines.writerow(("feed", "file_name", "source_row", "codes", "values"))
    named = [dict(zip(rows.headings, row, strict=True)) for row in rows.rows]
    written = 0
    for feed, file_id in sorted({(row["feed"], row["file_id"]) for row in named}):
        of_file = {
            row["source_row"]: row["file_name"] for row in named if (row["feed"], row["file_id"]) == (feed, file_id)
        }
        for source_row, codes, raw in _held_text(workspace, feed=feed, file_id=file_id):
            if source_row in of_file:
                lines.writerow((feed, of_file[source_row], source_row, codes, raw))
                written += 1
    files.write_atomically(path, out.getvalue().encode(), mode=0o600)
    return written


def _held_text(workspace: Workspace, *, feed: str, file_id: str) -> list[tuple[int, str, str]]:
    """(source_row, codes, raw) of the newest reading of a file; an older reading was under another contract."""
    readings = [
        receipt for receipt in read_receipts(workspace.store) if (receipt.feed, receipt.file_id) == (feed, file_id)
    ]
    if not readings:
        return []
    path = held_path(workspace.store, feed=feed, key=readings[-1].file_key)
    rows = pq.read_table(path, columns=["source_row", "codes", "raw"]).to_pylist()
    return [(row["source_row"], row["codes"], row["raw"]) for row in rows]
