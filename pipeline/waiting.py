"""The rows that wait for a correction, and, only when asked for, what stood in them."""

import csv
import io
from dataclasses import dataclass
from pathlib import Path

import pyarrow.parquet as pq

from pipeline import files, warehouse
from pipeline.feeds.reasons import REASONS
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
    with warehouse.reading(workspace.warehouse) as con:
        asked = [value for value in (wanted.feed, wanted.code, wanted.file) for _ in ("is it asked for", "which")]
        found = con.execute(_WAITING, asked)
        headings = tuple(column[0] for column in found.description)
        code = headings.index("code")
        rows = [(*row, REASONS[row[code]].mended_by) for row in found.fetchall()]
        return Table((*headings, "mended_by"), tuple(rows))


def write_values(workspace: Workspace, rows: Table, *, path: Path) -> int:
    """Write what stood in the rows as CSV to a file that only its owner can read; returns how many rows were found.

    The cells stand as one JSON text, so that no spreadsheet takes one for a formula. Rows that wait only because their
    client is unknown were accepted, so the store has no held text of them and they are left out.
    """
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\n")
    lines.writerow(("feed", "file_name", "source_row", "codes", "values"))
    wanted: dict[tuple[str, str], dict[int, str]] = {}
    for row in (dict(zip(rows.headings, row, strict=True)) for row in rows.rows):
        wanted.setdefault((row["feed"], row["file_id"]), {})[row["source_row"]] = row["file_name"]
    # Oldest first, so that the newest reading of the same bytes is the one that stays.
    readings = {(receipt.feed, receipt.file_id): receipt.file_key for receipt in read_receipts(workspace.store)}
    written = 0
    for (feed, file_id), names in sorted(wanted.items()):
        path_of_held = held_path(workspace.store, feed=feed, key=readings[feed, file_id])
        for row in pq.read_table(path_of_held, columns=["source_row", "codes", "raw"]).to_pylist():
            if row["source_row"] in names:
                lines.writerow((feed, names[row["source_row"]], row["source_row"], row["codes"], row["raw"]))
                written += 1
    files.write_atomically(path, out.getvalue().encode(), mode=0o600)
    return written
