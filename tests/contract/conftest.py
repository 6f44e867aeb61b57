"""A workspace in a temporary folder, driven only through the command line and read only through SQL.

These tests know nothing of the inside: they hold the program to its small print as a user meets it.
"""

from __future__ import annotations

import csv
import gzip
import json
from dataclasses import dataclass
from pathlib import Path

import duckdb
import pytest
from click.testing import CliRunner

from pipeline.cli import main

BRADEN = ("sensory_perception", "moisture", "activity", "mobility", "nutrition", "friction_shear")
NORTON = ("physical_condition", "mental_condition", "activity", "mobility", "incontinence")


@dataclass(frozen=True)
class Desk:
    """One workspace and the three things a user does with it: drop a file, run a command, ask the warehouse."""

    root: Path

    def drop(self, name: str, rows: list[dict], *, bom: bool = False, delimiter: str = ",") -> Path:
        """Write rows under the headings of all of them as inbox/<name>; a name ending in .gz is compressed."""
        path = self.root / "inbox" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        headings = list(dict.fromkeys(heading for row in rows for heading in row))
        lines = []
        for row in [dict(zip(headings, headings, strict=True)), *rows]:
            lines.append([("" if row.get(h) is None else str(row.get(h))) for h in headings])
        text = path.with_name("." + path.name)
        with text.open("w", newline="", encoding="utf-8-sig" if bom else "utf-8") as handle:
            csv.writer(handle, delimiter=delimiter).writerows(lines)
        data = text.read_bytes()
        text.unlink()
        path.write_bytes(gzip.compress(data, mtime=0) if name.endswith(".gz") else data)
        return path

    def run(self, *words: str, expect: int | None = 0) -> tuple[int, str, str]:
        """Run `caseround <words> --workspace ...`; returns exit code, stdout, stderr and checks the code."""
        result = CliRunner().invoke(main, [*words, "--workspace", str(self.root)])
        if expect is not None:
            assert result.exit_code == expect, f"exit {result.exit_code}, wanted {expect}\n{result.output}"
        return result.exit_code, result.stdout, result.stderr

    def ask(self, sql: str) -> list[tuple]:
        """Rows of a query on the published warehouse."""
        with duckdb.connect(str(self.root / "warehouse.duckdb"), read_only=True) as con:
            return con.execute(sql).fetchall()

    def receipts(self) -> list[dict]:
        """Every receipt in the store, by file name."""
        return [json.loads(p.read_text()) for p in sorted((self.root / "store" / "receipts").glob("*.json"))]


@pytest.fixture
def desk(tmp_path) -> Desk:
    """A fresh workspace made by `caseround init`."""
    result = CliRunner().invoke(main, ["init", str(tmp_path / "ws")])
    assert result.exit_code == 0, result.output
    return Desk(tmp_path / "ws")


def client(client_id: str = "C-1", **more) -> dict:
    """A plain adult."""
    return {"client_id": client_id, "sex": "female", "age_years": 79, **more}


def placement(client_id: str = "C-1", **more) -> dict:
    """A stay in the community that began on 1 January 2026."""
    row = {
        "placement_id": f"P-{client_id}",
        "client_id": client_id,
        "care_setting": "community",
        "site": "S1",
        "team": "Saltbeck Community",
        "clinician": "K12",
        "started_at": "2026-01-01",
        "ended_at": None,
    }
    return {**row, **more}


def braden(assessment_id: str, client_id: str = "C-1", *, items=(3, 3, 2, 3, 3, 2), at="2026-01-02T10:00:00", **more):
    """A Braden assessment with its six items in the order of the scale."""
    row = {"assessment_id": assessment_id, "client_id": client_id, "assessed_at": at, "scale": "braden"}
    return {**row, **dict(zip(BRADEN, items, strict=True)), "recorded_total": None, **more}


def injury(look_id: str, client_id: str = "C-1", **more) -> dict:
    """One look at a stage 4 sacral wound."""
    row = {
        "injury_observation_id": look_id,
        "injury_id": f"I-{client_id}",
        "client_id": client_id,
        "observed_at": "2026-01-03",
        "location": "sacrum",
        "stage": "stage_4",
        "length_cm": 4,
        "width_cm": 3,
        "status": "open",
    }
    return {**row, **more}


def loan(loan_id: str, client_id: str = "C-1", **more) -> dict:
    """A foam mattress on loan since 2 January 2026."""
    row = {
        "loan_id": loan_id,
        "client_id": client_id,
        "position": "lying",
        "surface_class": "foam",
        "loan_status": "issued",
        "owner": "loan_service",
        "issued_on": "2026-01-02",
        "returned_on": None,
    }
    return {**row, **more}
