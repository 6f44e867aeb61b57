"""One workspace that takes in a file of assessments as a service would send it, and answers from the warehouse."""

import csv
from dataclasses import dataclass, field
from pathlib import Path

import duckdb
import pytest
from click.testing import CliRunner

from pipeline.cli import main

RECEIVED = "2026-01-05T06:00:00Z"
PEOPLE = {"C-1": {"age_years": 79}}


@dataclass
class Form:
    """Assessments on one scale, each with its items in the order of the scale and whatever else the export states."""

    scale: str
    items: tuple[str, ...]
    rows: list[dict] = field(default_factory=list)

    def score(self, assessment_id: str, *values, **stated) -> None:
        """Add one assessment; a value of None is a blank cell, and columns such as recorded_total go into `stated`."""
        row = {"assessment_id": assessment_id, "client_id": "C-1", "assessed_at": "2026-01-02T10:00:00"}
        cells = dict(zip(self.items, values or (None,) * len(self.items), strict=True))
        self.rows.append(row | {"scale": self.scale} | cells | stated)


@dataclass(frozen=True)
class Answers:
    """What the warehouse says of the assessments that went in."""

    root: Path

    def ask(self, sql: str, *values) -> list[tuple]:
        """Rows of a query on the published warehouse."""
        with duckdb.connect(str(self.root / "warehouse.duckdb"), read_only=True) as con:
            return con.execute(sql, list(values)).fetchall()

    def score(self, assessment_id: str) -> dict | None:
        """The row of risk.scores; None when there is none."""
        columns = "recomputed_total, recomputed_band, band, risk_rung, total_agrees, band_agrees, is_complete"
        columns += ", missing_items, basis_of_band, suits_age"
        found = self.ask(f"SELECT {columns} FROM risk.scores WHERE assessment_id = ?", assessment_id)
        return dict(zip(columns.split(", "), found[0], strict=True)) if found else None

    def held(self, assessment_id: str) -> list[tuple]:
        """(column, code) of each reason for which the assessment was held back."""
        return self.ask("SELECT column_name, code FROM quality.held WHERE record_id = ? ORDER BY ALL", assessment_id)


def write_csv(path: Path, rows: list[dict]) -> None:
    """Write rows under the union of their headings, in the order in which they first appear."""
    headings = list(dict.fromkeys(name for row in rows for name in row))
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", newline="", encoding="utf-8") as handle:
        lines = csv.DictWriter(handle, headings, restval="", lineterminator="\n")
        lines.writeheader()
        lines.writerows({name: "" if value is None else value for name, value in row.items()} for row in rows)


@pytest.fixture(scope="module")
def take_in(tmp_path_factory):
    """A function: forms, and people with their age, go in through the command line; the answers come out.

    `feeds` are rows of further feeds by name, `policy` the workspace's own policy files, `at` when all of it came.
    """

    def run(
        *forms: Form, people: dict[str, dict] = PEOPLE, feeds: dict[str, list[dict]] | None = None,
        policy: dict[str, str] | None = None, at: str = RECEIVED,
    ) -> Answers:
        root = tmp_path_factory.mktemp("standards") / "ws"
        assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
        inbox = root / "inbox"
        write_csv(inbox / "clients.csv", [{"client_id": name, "sex": "female"} | more for name, more in people.items()])
        for place, form in enumerate(forms):
            write_csv(inbox / f"assessments_{form.scale}_{place}.csv", form.rows)
        for name, rows in (feeds or {}).items():
            if rows:
                write_csv(inbox / f"{name}.csv", rows)
        for name, text in (policy or {}).items():
            (root / "policy" / name).parent.mkdir(parents=True, exist_ok=True)
            (root / "policy" / name).write_text(text, encoding="utf-8")
        result = CliRunner().invoke(main, ["run", "--workspace", str(root), "--received-at", at])
        assert result.exit_code == 0, result.output
        return Answers(root)

    return run
