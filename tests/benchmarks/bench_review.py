"""How much a review costs beside the least that it could do: run as a script, it asserts nothing.

    python tests/benchmarks/bench_review.py [--assessments 1000000] [--people 25000] [--times 5] [--keep FOLDER]

An invented caseload goes through the real intake once. Then each side runs in a process of its own, in turn, so that
both meet the same machine: `floor.sql` on the store's Parquet, and the whole review with the audit before it, its
checks and the published file. Prints medians of wall and CPU seconds, the peak memory, and the median of the pairs'
ratios.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import UTC, date, datetime
from pathlib import Path

import duckdb

ROOT = Path(__file__).resolve().parents[2]
FLOOR = Path(__file__).with_name("floor.sql")
AS_OF, KNOWN_AT = date(2026, 3, 2), datetime(2026, 3, 2, 6, tzinfo=UTC)
# Before the end of the audit before, so that there is one to compute again and it is as large.
RECEIVED = datetime(2026, 2, 20, 6, tzinfo=UTC)


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--assessments", type=int, default=1_000_000)
    options.add_argument("--people", type=int, default=25_000)
    options.add_argument("--times", type=int, default=5)
    options.add_argument("--keep", type=Path)
    options.add_argument("--side", choices=("floor", "review"))
    asked = options.parse_args()
    if asked.side:
        print(json.dumps(measure(asked.side, asked.keep)))
        return
    with tempfile.TemporaryDirectory() as passing:
        root = asked.keep or Path(passing)
        if not (root / "store").is_dir():
            fill(root, people=asked.people, assessments=asked.assessments)
        runs: dict[str, list[dict[str, float]]] = {"floor": [], "review": []}
        for _ in range(asked.times):
            for side, found in runs.items():
                found.append(in_own_process(side, root))
    show(runs)


def fill(root: Path, *, people: int, assessments: int) -> None:
    """A workspace whose store holds the invented caseload."""
    from pipeline.intake import take_in
    from pipeline.log import RunLog, no_progress
    from pipeline.policy import load
    from pipeline.scenario.benchmark import write_benchmark
    from pipeline.settings import Workspace

    workspace = Workspace(root=root)
    drops = root / "drops"
    write_benchmark(drops, people=people, assessments=assessments, seed=1)
    drops.rename(workspace.inbox)
    outcome = take_in(workspace, load(None), received_at=RECEIVED, progress=no_progress, log=RunLog())
    print(f"taken in: {sum(file.accepted for file in outcome.files):,} rows of {len(outcome.files)} files")


def in_own_process(side: str, root: Path) -> dict[str, float]:
    said = [sys.executable, "-W", "ignore", str(Path(__file__).resolve()), "--side", side, "--keep", str(root)]
    out = subprocess.run(said, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=True, capture_output=True)
    return json.loads(out.stdout.splitlines()[-1])


def measure(side: str, root: Path) -> dict[str, float]:
    """Wall and CPU seconds of one run with its imports, and the process's peak memory in MB."""
    began, used = time.perf_counter(), time.process_time()
    floor(root) if side == "floor" else review(root)
    return {"wall": time.perf_counter() - began, "cpu": time.process_time() - used, "peak": peak_mb()}


def peak_mb() -> float:
    # The high-water mark of this process alone; getrusage would carry over that of the parent from before exec.
    status = Path("/proc/self/status").read_text()
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmHWM")) / 1024


def floor(root: Path) -> None:
    paths = sorted(str(path) for path in (root / "store" / "accepted" / "assessments").glob("*.parquet"))
    with tempfile.TemporaryDirectory(dir=root) as folder:
        con = duckdb.connect(str(Path(folder) / "floor.duckdb"), config={"threads": 2, "memory_limit": "1200MB"})
        con.execute(f"SET VARIABLE assessments = {paths}")
        con.execute(FLOOR.read_text(encoding="utf-8"))
        con.execute("CHECKPOINT")
        con.close()


def review(root: Path) -> None:
    from pipeline.log import RunLog, no_progress
    from pipeline.policy import load
    from pipeline.review import build, state_columns
    from pipeline.settings import Workspace

    policy = load(None, state_columns=state_columns())
    build(Workspace(root=root), policy, as_of=AS_OF, known_at=KNOWN_AT, progress=no_progress, log=RunLog())


def show(runs: dict[str, list[dict[str, float]]]) -> None:
    print(f"{len(runs['floor'])} pairs, {os.cpu_count()} cores")
    for side, found in runs.items():
        middle = {name: statistics.median(run[name] for run in found) for name in found[0]}
        print(f"{side:7} wall {middle['wall']:6.2f} s  cpu {middle['cpu']:6.2f} s  peak {middle['peak']:.0f} MB")
    pairs = list(zip(runs["review"], runs["floor"], strict=True))
    for name in ("wall", "cpu"):
        print(f"ratio of {name}: {statistics.median(mine[name] / bare[name] for mine, bare in pairs):.1f}")


if __name__ == "__main__":
    main()
