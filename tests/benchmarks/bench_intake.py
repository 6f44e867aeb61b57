"""How much intake costs beside a bare copy: run as a script, it asserts nothing.

    python tests/benchmarks/bench_intake.py [--rows 1000000] [--people 25000] [--times 5]

Invented Braden assessments in one CSV. Each side runs in a process of its own, in turn, so that both meet the same
machine; the floor is DuckDB scanning the CSV and writing it as compressed Parquet. Prints the median wall
and CPU seconds, the peak memory, and the median of the pairs' ratios.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

import duckdb

ROOT = Path(__file__).resolve().parents[2]
RECEIVED = datetime(2026, 3, 2, tzinfo=UTC)
INVENT = """
    COPY (SELECT 'A-' || i AS assessment_id, 'C-' || (i % {people}) AS client_id,
        strftime(TIMESTAMP '2024-01-01' + to_minutes(CAST(i % 1000000 AS INTEGER)), '%Y-%m-%dT%H:%M:%S') AS assessed_at,
        'braden' AS scale, 1 + i % 4 AS sensory_perception, 1 + (i // 3) % 4 AS moisture, 1 + (i // 7) % 4 AS activity,
        1 + (i // 11) % 4 AS mobility, 1 + (i // 13) % 4 AS nutrition, 1 + (i // 17) % 3 AS friction_shear,
        15 AS recorded_total, 'at_risk' AS recorded_band, 'low' AS clinician_level, 'K' || (i % 40) AS assessor,
        'nurse' AS assessor_role,
        strftime(TIMESTAMP '2024-01-01' + to_minutes(CAST(i % 1000000 AS INTEGER)), '%Y-%m-%dT%H:%M:%S') AS updated_at,
        'final' AS record_status
    FROM range({rows}) AS invented(i)) TO '{path}' (HEADER)
"""


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--rows", type=int, default=1_000_000)
    options.add_argument("--people", type=int, default=25_000)
    options.add_argument("--times", type=int, default=5)
    options.add_argument("--side", choices=("floor", "intake"))
    options.add_argument("--csv", type=Path)
    asked = options.parse_args()
    if asked.side:
        print(json.dumps(measure(asked.side, asked.csv)))
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "assessments.csv"
        duckdb.sql(INVENT.format(rows=asked.rows, people=asked.people, path=path))
        runs = {"floor": [], "intake": []}
        for _ in range(asked.times):
            for side, found in runs.items():
                found.append(in_own_process(side, path))
    show(runs, rows=asked.rows)


def in_own_process(side: str, path: Path) -> dict[str, float]:
    said = [sys.executable, "-W", "ignore", str(Path(__file__).resolve()), "--side", side, "--csv", str(path)]
    out = subprocess.run(said, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=True, capture_output=True)
    return json.loads(out.stdout.splitlines()[-1])


def measure(side: str, path: Path) -> dict[str, float]:
    """Wall and CPU seconds of one run with its imports, and the process's peak memory in MB."""
    began, used = time.perf_counter(), time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        loaded = floor(path, Path(folder)) if side == "floor" else intake(path, Path(folder))
    return {
        "wall": time.perf_counter() - began, "cpu": time.process_time() - used, "peak": peak_mb(),
        "after_imports": time.perf_counter() - loaded,
    }  # fmt: skip


def peak_mb() -> float:
    # The high-water mark of this process alone; getrusage would carry over that of the parent from before exec.
    status = Path("/proc/self/status").read_text()
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmHWM")) / 1024


def floor(path: Path, folder: Path) -> float:
    loaded = time.perf_counter()
    duckdb.sql(f"COPY (SELECT * FROM read_csv('{path}')) TO '{folder / 'bare.parquet'}' (COMPRESSION zstd)")
    return loaded


def intake(path: Path, folder: Path) -> float:
    from pipeline.intake import taking
    from pipeline.log import RunLog, no_progress
    from pipeline.settings import Workspace
    from tests.unit.intake.inbox import Scales

    loaded = time.perf_counter()
    (folder / "inbox").mkdir()
    try:
        os.link(path, folder / "inbox" / path.name)
    except OSError:
        shutil.copyfile(path, folder / "inbox" / path.name)
    outcome = taking.take_in(
        Workspace(root=folder), Scales(), received_at=RECEIVED, progress=no_progress, log=RunLog()
    )  # fmt: skip
    if [file.held for file in outcome.files] != [0]:
        raise SystemExit("the invented rows should all be accepted")
    return loaded


def show(runs: dict[str, list[dict[str, float]]], *, rows: int) -> None:
    print(f"{rows:,} assessments, {len(runs['floor'])} pairs, {os.cpu_count()} cores")
    for side, found in runs.items():
        middle = {name: statistics.median(run[name] for run in found) for name in found[0]}
        print(
            f"{side:7} wall {middle['wall']:6.2f} s (without imports {middle['after_imports']:.2f} s)"
            f"  cpu {middle['cpu']:6.2f} s  peak {middle['peak']:.0f} MB"
        )
    pairs = list(zip(runs["intake"], runs["floor"], strict=True))
    for name in ("wall", "after_imports", "cpu"):
        print(f"ratio of {name}: {statistics.median(mine[name] / bare[name] for mine, bare in pairs):.1f}")


if __name__ == "__main__":
    main()
