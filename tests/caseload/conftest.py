"""The committed sample caseload, taken in drop by drop and audited each week as the demonstration's service would."""

import csv
import shutil
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

import pytest

from pipeline import demo, warehouse
from pipeline.intake import IntakeOutcome, take_in
from pipeline.log import RunLog, no_progress
from pipeline.policy import Policy, load
from pipeline.report import render
from pipeline.resources import sample_dir
from pipeline.review import build, state_columns
from pipeline.settings import Workspace, load_workspace

LAST_DAY = date(2026, 3, 2)
# Mondays whose pages are kept: the first two, which must differ, and those that are asked for again later on.
SHOWN = (0, 1, 5, 11)


@dataclass
class Weeks:
    """The workspace after the last drop; `pages` are the bytes of some weeks' audits as they were published."""

    workspace: Workspace
    policy: Policy
    received: list[datetime] = field(default_factory=list)
    outcomes: list[IntakeOutcome] = field(default_factory=list)
    pages: dict[datetime, dict[str, bytes]] = field(default_factory=dict)
    warehouses: dict[date, Path] = field(default_factory=dict)

    def review(self, moment: datetime) -> None:
        """Build that morning's warehouse."""
        build(self.workspace, self.policy, as_of=moment.date(), known_at=moment, progress=no_progress, log=RunLog())

    def publish(self, moment: datetime) -> dict[str, bytes]:
        """Publish the audit that was reviewed last; its pages by name."""
        render(self.workspace, progress=no_progress, log=RunLog())
        [folder] = (self.workspace.audits / moment.date().isoformat()).iterdir()
        return {path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*.*"))}

    def ask(self, sql: str, *values: object, on: date = LAST_DAY) -> list[tuple]:
        """The rows of a query on one week's warehouse."""
        with warehouse.open_readonly(self.warehouses[on]) as con:
            return con.execute(sql, list(values)).fetchall()


@pytest.fixture(scope="session")
def weeks(tmp_path_factory) -> Weeks:
    """Thirteen Mondays, each with what had come by then."""
    root = tmp_path_factory.mktemp("caseload")
    demo.prepare(root)
    weeks = Weeks(load_workspace(root), load(None, state_columns=state_columns()))
    for moment, _, _ in demo.weekly_drops(root):
        outcome = take_in(weeks.workspace, weeks.policy, received_at=moment, progress=no_progress, log=RunLog())
        weeks.outcomes.append(outcome)
        if moment.weekday() == 0:
            weeks.review(moment)
            if len(weeks.received) in SHOWN:
                weeks.pages[moment] = weeks.publish(moment)
            weeks.received.append(moment)
            weeks.warehouses[moment.date()] = root / f"{moment.date()}.duckdb"
            shutil.copyfile(weeks.workspace.warehouse, weeks.warehouses[moment.date()])
    return weeks


@pytest.fixture(scope="session")
def planted() -> list[dict[str, str]]:
    """The list of what was put in wrong on purpose, one row each."""
    with (sample_dir() / "planted_faults.csv").open(encoding="utf-8", newline="") as sheet:
        return list(csv.DictReader(sheet))
