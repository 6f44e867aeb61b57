"""The sample caseload after `caseround demo`: its folder, its newest pages, and a way to ask its warehouse."""

import shutil
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path
from types import SimpleNamespace


@dataclass(frozen=True)
class SampleAudit:
    """One workspace; `folder` holds the pages of its audit."""

    root: Path
    folder: Path

    @classmethod
    def made_in(cls, root: Path) -> "SampleAudit":
        """Run the demonstration there."""
        # Imported here, because this file is read in every test run and most of them need none of it.
        from click.testing import CliRunner

        from pipeline.cli import main

        ran = CliRunner().invoke(main, ["demo", "--workspace", str(root)])
        assert ran.exit_code == 0, ran.output
        [folder] = (page.parent for page in root.glob("audits/*/*/worklist.html"))
        return cls(root, folder)

    def ask(self, sql: str, *values: object) -> list[SimpleNamespace]:
        """The rows of a query on the published warehouse, each column an attribute."""
        return asked(self.root / "warehouse.duckdb", sql, *values)

    def reviewed_again(self, root: Path, *, as_of: date) -> Path:
        """The warehouse of an earlier day, as it was known at that day's end, over a copy of the store."""
        from pipeline.log import RunLog, no_progress
        from pipeline.policy import load
        from pipeline.review import build, state_columns
        from pipeline.settings import load_workspace

        shutil.copytree(self.root, root, ignore=shutil.ignore_patterns("audits", "warehouse.duckdb*", "logs"))
        known_at = datetime.combine(as_of, time.max, tzinfo=UTC)
        policy = load(None, state_columns=state_columns())
        build(load_workspace(root), policy, as_of=as_of, known_at=known_at, progress=no_progress, log=RunLog())
        return root / "warehouse.duckdb"

    def page(self, name: str) -> str:
        """The text of one page's file."""
        return (self.folder / f"{name}.html").read_text("utf-8")


def asked(path: Path, sql: str, *values: object) -> list[SimpleNamespace]:
    """The rows of a query on a warehouse, which is closed again: a later reader may want another configuration."""
    import duckdb

    with duckdb.connect(str(path), read_only=True) as con:
        answer = con.execute(sql, values)
        names = [column[0] for column in answer.description]
        return [SimpleNamespace(**dict(zip(names, row, strict=True))) for row in answer.fetchall()]
