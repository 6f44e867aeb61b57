"""An invented caseload of any size: what `caseround sample` writes, what the demo takes in and what benchmarks measure.

Everything is a pure function of its arguments; no clock is read. The people, places and courses are invented.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from pipeline.scenario.benchmark import write_benchmark as write_benchmark
from pipeline.scenario.caseload import people_of
from pipeline.scenario.drops import Rows, columns_used, cut, drop_day, write_file
from pipeline.scenario.frailty import body_of, course_of
from pipeline.scenario.loan_book import write_supplies
from pipeline.scenario.records import Chart, Fault
from pipeline.scenario.registers import write_person, write_stays
from pipeline.scenario.scoring import write_scores
from pipeline.scenario.service import Calendar
from pipeline.scenario.skin_notes import write_wounds
from pipeline.scenario.surfaces import supplies_of
from pipeline.scenario.wounds import wounds_of

# What is being counted, how many are done, how many there are.
Progress = Callable[[str, int, int], None]
FORMATS = ("csv", "jsonl", "parquet")
FAULT_COLUMNS = ("fault", "feed", "record_id", "client_id", "drop", "kind", "expected")


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
    weekly: int = 26,
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
    files = cut(chart.versions, calendar)
    size = _write_files(out / "drops", files, format=format, progress=progress)
    faults = _write_faults(out / "planted_faults.csv", chart.faults, calendar)
    rows: dict[str, int] = {}
    for (_, feed), content in files.items():
        rows[feed] = rows.get(feed, 0) + len(content)
    days = tuple(sorted({day for day, _ in files}))
    return SampleSummary(out=out, drops=days, people=seen, rows=rows, faults=faults, bytes=size)


def play_out(calendar: Calendar, *, people: int, seed: int, progress: Progress) -> tuple[Chart, int]:
    """The course of everyone, as records and planted faults; and how many people there were."""
    chart = Chart()
    everyone = people_of(calendar, people=people, seed=seed)
    for number, person in enumerate(everyone, start=1):
        body = body_of(person, seed=seed)
        course = course_of(person, calendar, seed=seed)
        wounds = wounds_of(person, body, course, calendar=calendar, seed=seed)
        supplies = supplies_of(person, body, course, wounds, calendar=calendar, seed=seed)
        write_person(chart, person, body, seed=seed)
        write_stays(chart, person, calendar=calendar, seed=seed)
        write_scores(chart, person, body, course, wounds, calendar=calendar, seed=seed)
        write_wounds(chart, person, wounds, seed=seed)
        write_supplies(chart, person, body, supplies, calendar=calendar, seed=seed)
        progress("people", number, len(everyone))
    return chart, len(everyone)


def _write_files(folder: Path, files: dict[tuple[date, str], Rows], *, format: str, progress: Progress) -> int:
    feeds = sorted({feed for _, feed in files})
    columns = {feed: columns_used(feed, [rows for (_, name), rows in files.items() if name == feed]) for feed in feeds}
    size = 0
    for number, ((day, feed), rows) in enumerate(files.items(), start=1):
        progress("files", number, len(files))
        size += write_file(folder / day.isoformat() / f"{feed}.{format}", columns[feed], rows, format=format)
    return size


def _write_faults(path: Path, faults: list[Fault], calendar: Calendar) -> int:
    """The planted faults that an export carried, one row each."""
    sheet = io.StringIO()
    writer = csv.writer(sheet, lineterminator="\n")
    writer.writerow(FAULT_COLUMNS)
    carried = []
    for fault in faults:
        day = drop_day(calendar.drops(fault.feed), fault.known_at)
        if day is not None:
            carried.append((fault.fault, fault.feed, fault.record_id, fault.client_id, day, fault.kind, fault.expected))
    writer.writerows(sorted(carried))
    path.write_bytes(sheet.getvalue().encode())
    return len(carried)
