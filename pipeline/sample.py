"""An invented caseload of any size: what `caseround sample` writes, what the demo takes in and what benchmarks measure.

Everything is a pure function of its arguments; no clock is read. The people, places and courses are invented.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from pipeline.scenario.benchmark import write_benchmark as write_benchmark
from pipeline.scenario.drops import Rows, columns_used, drop_day, write_file
from pipeline.scenario.play import Progress, exports, play_out, send_again
from pipeline.scenario.records import Chart, Fault
from pipeline.scenario.service import Calendar

FORMATS = ("csv", "jsonl", "parquet")
FAULT_COLUMNS = ("fault", "feed", "record_id", "client_id", "drop", "kind", "expected", "as_of")


@dataclass(frozen=True)
class SampleSummary:
    """What was written: drop days oldest first, people ever seen, rows by feed, planted faults, size of all files."""

    out: Path
    drops: tuple[date, ...]
    people: int
    rows: dict[str, int]
    faults: int
    bytes: int


def write_sample(
    out: Path,
    *,
    people: int,
    months: int,
    seed: int,
    format: str = "csv",
    weekly: int = 13,
    progress: Progress | None = None,
) -> SampleSummary:
    """Play out a caseload and write `out/drops/<day>/<feed>.<format>` and `out/planted_faults.csv`.

    `people` is how many are on the caseload at a time (more come and go), `months` how long it is followed from
    Monday 2 September 2024 on. The last `weekly` Mondays have a drop of their own; the first of these brings
    everything before it. `progress` hears what is counted, how many are done and of how many. Raises ValueError for a
    size below one or a format other than csv, jsonl and parquet.
    """
    if people < 1 or months < 1 or weekly < 1:
        raise ValueError("people, months and weekly are at least one")
    if format not in FORMATS:
        raise ValueError(f"format is one of {', '.join(FORMATS)}")
    progress = progress or (lambda what, done, of: None)
    calendar = Calendar(months=months, weekly=weekly)
    chart, seen = play_out(calendar, people=people, seed=seed, progress=progress)
    files = exports(chart, calendar, people=people, seed=seed)
    size = _write_files(out / "drops", files, format=format, progress=progress)
    _send_again(out / "drops", files, chart, calendar, format=format)
    faults = _write_faults(out / "planted_faults.csv", chart.faults, calendar)
    rows: dict[str, int] = {}
    for (_, feed), content in files.items():
        rows[feed] = rows.get(feed, 0) + len(content)
    days = tuple(sorted({day for day, _ in files}))
    return SampleSummary(out=out, drops=days, people=seen, rows=rows, faults=faults, bytes=size)


def _write_files(folder: Path, files: dict[tuple[date, str], Rows], *, format: str, progress: Progress) -> int:
    feeds = sorted({feed for _, feed in files})
    columns = {feed: columns_used(feed, [rows for (_, name), rows in files.items() if name == feed]) for feed in feeds}
    size = 0
    for number, ((day, feed), rows) in enumerate(files.items(), start=1):
        progress("files", number, len(files))
        size += write_file(folder / day.isoformat() / f"{feed}.{format}", columns[feed], rows, format=format)
    return size


def _send_again(
    folder: Path, files: dict[tuple[date, str], Rows], chart: Chart, calendar: Calendar, *, format: str
) -> None:
    again = send_again(files, calendar)
    if again is not None:
        first, feed, second, fault = again
        sent = (folder / first.isoformat() / f"{feed}.{format}").read_bytes()
        (folder / second.isoformat() / f"{feed}_again.{format}").write_bytes(sent)
        chart.faults.append(fault)


def _write_faults(path: Path, faults: list[Fault], calendar: Calendar) -> int:
    """The planted faults that an export carried, one row each."""
    sheet = io.StringIO()
    writer = csv.writer(sheet, lineterminator="\n")
    writer.writerow(FAULT_COLUMNS)
    carried = []
    for fault in faults:
        day = drop_day(calendar.drops(fault.feed), fault.known_at)
        if day is not None:
            found = fault.as_of.isoformat() if fault.as_of else ""
            place = (fault.fault, fault.feed, fault.record_id, fault.client_id, day.isoformat())
            carried.append((*place, fault.kind, fault.expected, found))
    writer.writerows(sorted(carried))
    path.write_bytes(sheet.getvalue().encode())
    return len(carried)
