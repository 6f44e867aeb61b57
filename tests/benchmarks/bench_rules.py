"""How much findings with their evidence cost beside the bare yes and no of the same rules: run as a script.

    python -m tests.benchmarks.bench_rules [--people 250000] [--times 5] [--warehouse FILE]

The state of the sample caseload, which the demonstration makes unless a warehouse is named, is repeated until there are
as many people. Then, in turn and in one process: the one SELECT that gives a row with evidence for each rule that is
true or unknown, and a statement that gives one boolean column for each rule and nothing else. Prints the medians and
the median of the pairs' ratios, which is to stay at or below 4.
"""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from datetime import date
from pathlib import Path

import duckdb

from pipeline.policy import Rule, load
from pipeline.review import state_columns
from pipeline.review.rule_compiler import SUBJECTS, compile_rule, compile_verdicts
from tests.sample_audit import SampleAudit

MOST = 4


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("--people", type=int, default=250_000)
    options.add_argument("--times", type=int, default=5)
    options.add_argument("--warehouse", type=Path)
    asked = options.parse_args()
    with tempfile.TemporaryDirectory() as passing:
        folder = Path(passing)
        made = asked.warehouse or SampleAudit.made_in(folder / "ws").root / "warehouse.duckdb"
        con = duckdb.connect(str(folder / "rules.duckdb"), config={"threads": 2, "memory_limit": "1200MB"})
        as_of = repeat(con, made, people=asked.people)
        rules = load(None, state_columns=state_columns()).rules(as_of)
        sides = {"evidence": f"CREATE OR REPLACE TABLE verdicts AS {compile_verdicts(rules, state_columns())}"}
        sides["booleans"] = booleans(rules)
        runs: dict[str, list[float]] = {name: [] for name in sides}
        for _ in range(asked.times):
            for name, statement in sides.items():
                runs[name].append(seconds(con, statement))
        show(con, runs, rules=len(rules))
        con.close()


def repeat(con: duckdb.DuckDBPyConnection, warehouse: Path, *, people: int) -> date:
    """Fill state.* with copies of people, wounds and loans, with ids of their own; returns its as-of day."""
    con.execute(f"ATTACH '{warehouse}' AS sample (READ_ONLY)")
    con.execute("CREATE SCHEMA state")
    [(known, as_of)] = con.execute(
        "SELECT (SELECT count(*) FROM sample.state.clients), as_of FROM sample.review.parameters"
    ).fetchall()
    for relation, own_id in SUBJECTS.values():
        ids = [name for name in ("client_id", own_id) if name]
        named = ", ".join(f"{name} || '-' || copy AS {name}" for name in ids)
        con.execute(f"""
            CREATE TABLE {relation} AS SELECT * EXCLUDE (copy) REPLACE ({named})
            FROM sample.{relation}, range({-(-people // known)}) AS copies(copy)
        """)
    con.execute("DETACH sample")
    return as_of


def booleans(rules: tuple[Rule, ...]) -> str:
    """For each subject a table with a column for each rule, true, false or unknown."""
    statements = []
    for about, (relation, own_id) in SUBJECTS.items():
        columns = [name for name in ("client_id", own_id) if name]
        for rule in rules:
            if rule.about == about:
                columns.append(f"CAST({compile_rule(rule, state_columns()[about]).verdict} AS BOOLEAN) AS {rule.rule}")
        statements.append(f"CREATE OR REPLACE TABLE of_{about} AS SELECT {', '.join(columns)} FROM {relation}")
    return "; ".join(statements)


def seconds(con: duckdb.DuckDBPyConnection, statement: str) -> float:
    began = time.perf_counter()
    con.execute(statement)
    return time.perf_counter() - began


def show(con: duckdb.DuckDBPyConnection, runs: dict[str, list[float]], *, rules: int) -> None:
    counts = {
        name: con.execute(f"SELECT count(*) FROM {name}").fetchone()[0]
        for name in (*(relation for relation, _ in SUBJECTS.values()), "verdicts")
    }
    print(f"{len(runs['evidence'])} pairs, {os.cpu_count()} cores, {rules} rules, " + ", ".join(
        f"{rows:,} rows of {name}" for name, rows in counts.items()
    ))  # fmt: skip
    for name, found in runs.items():
        print(f"{name:9} {statistics.median(found):6.2f} s")
    ratios = [mine / bare for mine, bare in zip(runs["evidence"], runs["booleans"], strict=True)]
    print(f"ratio: {statistics.median(ratios):.1f} (to stay at or below {MOST})")


if __name__ == "__main__":
    main()
