"""Cuts what was written into weekly exports and writes the files: each holds what is new or changed since the last."""

import csv
import io
import json
from bisect import bisect_left
from collections.abc import Sequence
from datetime import date, datetime, time
from pathlib import Path

from pipeline.feeds.columns import FEEDS, ITEM_WILDCARD
from pipeline.scenario.frailty import ITEMS
from pipeline.scenario.records import Version
from pipeline.scenario.service import Calendar

# Exports are drawn at six on the morning of their day.
DRAWN_AT = time(6, 0)
Rows = list[dict[str, str]]
# A cell beyond the last heading, as a comma without quotation marks makes it. Only a CSV file can hold one.
EXTRA_CELL = "(one cell too many)"


def drop_day(days: Sequence[date], known_at: datetime) -> date | None:
    """The first export of a feed that can carry something known at `known_at`; None when it is still to come."""
    place = bisect_left([datetime.combine(day, DRAWN_AT) for day in days], known_at)
    return days[place] if place < len(days) else None


def cut(versions: Sequence[Version], calendar: Calendar) -> dict[tuple[date, str], Rows]:
    """Rows by drop day and feed. Of several versions in one export only the newest is sent."""
    latest: dict[tuple[date, str], dict[str, Version]] = {}
    days = {feed: calendar.drops(feed) for feed in FEEDS}
    for version in sorted(versions, key=lambda v: (v.updated_at, v.feed, v.record_id)):
        day = drop_day(days[version.feed], version.updated_at)
        if day is not None:
            latest.setdefault((day, version.feed), {})[version.record_id] = version
    return {key: [dict(found.cells) for _, found in sorted(records.items())] for key, records in sorted(latest.items())}


def resend_clients(files: dict[tuple[date, str], Rows], days: Sequence[date]) -> None:
    """Make each weekly clients export the full list of the people on the caseload, as that system sends it; in place.

    Most of its rows are then equal to the ones of the week before.
    """
    newest: dict[str, dict[str, str]] = {}
    stays: dict[str, dict[str, str]] = {}
    for day in days:
        newest |= {row["client_id"]: row for row in files.get((day, "clients"), [])}
        stays |= {row["placement_id"]: row for row in files.get((day, "placements"), [])}
        here = {row["client_id"] for row in stays.values() if "ended_at" not in row}
        changed = {row["client_id"] for row in files.get((day, "clients"), [])}
        files[day, "clients"] = [dict(row) for name, row in sorted(newest.items()) if name in here | changed]


def columns_used(feed: str, files: Sequence[Rows]) -> list[str]:
    """Columns of a feed that any of its files fills, in the order of the feed table."""
    used = {name for rows in files for row in rows for name in row if name != EXTRA_CELL}
    items = list(dict.fromkeys(item for scale in ITEMS.values() for item in scale))
    order: list[str] = []
    for column in FEEDS[feed].columns:
        order += items if column.name == ITEM_WILDCARD else [column.name]
    return [name for name in order if name in used] + sorted(used - set(order))


def write_file(path: Path, columns: Sequence[str], rows: Rows, *, format: str) -> int:
    """One export. Returns its size in bytes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    if format == "csv":
        sheet = io.StringIO()
        writer = csv.writer(sheet, lineterminator="\n")
        writer.writerow(columns)
        for row in rows:
            extra = [row[EXTRA_CELL]] if EXTRA_CELL in row else []
            writer.writerow([row.get(name, "") for name in columns] + extra)
        path.write_bytes(sheet.getvalue().encode())
    elif format == "jsonl":
        lines = [json.dumps({name: row[name] for name in columns if name in row}) + "\n" for row in rows]
        path.write_bytes("".join(lines).encode())
    else:
        # Parquet is read by every engine, and its library takes half a second to load: only who wants it pays.
        import pyarrow as pa
        import pyarrow.parquet as pq

        table = pa.table({name: pa.array([row.get(name) for row in rows], pa.string()) for name in columns})
        pq.write_table(table, path)
    return path.stat().st_size
