"""A workspace in a folder, files dropped into it, and what intake made of them."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

from pipeline.feeds.columns import FEEDS, HELD_SCHEMA, arrow_schema
from pipeline.intake import FileOutcome, take_in
from pipeline.log import RunLog, no_progress
from pipeline.settings import Source, Workspace

RECEIVED = datetime(2026, 3, 2, 6, tzinfo=UTC)


def items(names: str, low: int, high: int) -> dict[str, tuple[Decimal, ...]]:
    return {item: tuple(Decimal(score) for score in range(low, high + 1)) for item in names.split()}


# Braden: openEHR archetype braden_scale.v1 (items 1-4, friction and shear 1-3). Norton: AHCPR Quick Reference Guide 3.
BRADEN = items("sensory_perception moisture activity mobility nutrition", 1, 4) | items("friction_shear", 1, 3)
NORTON = items("physical_condition mental_condition activity mobility incontinence", 1, 4)
# Invented, to have a scale that allows a half, and one that leaves scores out.
HALVES = {"half_steps": (Decimal(0), Decimal("0.5"), Decimal(1), Decimal("1.5"), Decimal(2))}
LEAPS = {"leaps": (Decimal(0), Decimal(4), Decimal(6))}
SCALES = {"braden": BRADEN, "norton": NORTON, "halves": HALVES, "leaps": LEAPS}

# The least that each feed takes.
GOOD = {
    "clients": {"client_id": "C-1"},
    "placements": {"placement_id": "P-1", "client_id": "C-1", "care_setting": "community", "started_at": "2026-01-01"},
    "assessments": {
        "assessment_id": "A-1", "client_id": "C-1", "assessed_at": "2026-02-26T09:30", "scale": "braden",
        **dict.fromkeys(BRADEN, "2"), "updated_at": "2026-02-26T10:00:00",
    },
    "circumstances": {"circumstances_id": "K-1", "client_id": "C-1", "observed_on": "2026-02-26"},
    "injuries": {
        "injury_observation_id": "O-1", "injury_id": "I-1", "client_id": "C-1", "observed_at": "2026-02-26",
        "location": "sacrum", "stage": "stage_2",
    },
    "loans": {"loan_id": "L-1", "client_id": "C-1", "position": "lying", "surface_class": "foam"},
    "actions": {
        "action_id": "X-1", "client_id": "C-1", "rule": "deep_wound_on_foam", "acted_on": "2026-02-27",
        "outcome": "arranged",
    },
    "merges": {"old_client_id": "C-9", "client_id": "C-1", "merged_on": "2026-02-27"},
}  # fmt: skip


@dataclass(frozen=True)
class Scales:
    """As much of a policy as intake asks for."""

    items: dict[str, dict[str, tuple[Decimal, ...]]] = field(default_factory=lambda: SCALES)

    def scale_items(self) -> dict[str, dict[str, tuple[Decimal, ...]]]:
        return self.items


def as_text(rows: list[dict[str, str]], *, delimiter: str = ",") -> str:
    """Rows as delimited text; the columns are those of all rows together."""
    headings = list(dict.fromkeys(heading for row in rows for heading in row))
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, headings, delimiter=delimiter, restval="")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


class Inbox:
    """A workspace under `root`. `settings` are those of Workspace."""

    def __init__(self, root: Path, **settings: object) -> None:
        self.workspace = Workspace(root=root, **settings)
        self.workspace.inbox.mkdir(parents=True, exist_ok=True)
        self.log = root / "log.jsonl"

    def drop(self, name: str, content: str | bytes | list[dict[str, str]]) -> Path:
        path = self.workspace.inbox / name
        path.parent.mkdir(parents=True, exist_ok=True)
        text = as_text(content) if isinstance(content, list) else content
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return path

    def take(self, *, received_at: datetime = RECEIVED, scales: Scales | None = None) -> dict[str, FileOutcome]:
        log = RunLog(self.log)
        outcome = take_in(
            self.workspace, scales or Scales(), received_at=received_at, progress=no_progress, log=log
        )  # fmt: skip
        return {file.file_name: file for file in outcome.files}

    def take_one(self, name: str, content: str | bytes | list[dict[str, str]], **more: object) -> FileOutcome:
        self.drop(name, content)
        return self.take(**more)[name]

    def _table(self, kind: str, feed: str, schema: pa.Schema) -> pa.Table:
        paths = sorted((self.workspace.store / kind / feed).glob("*.parquet"))
        return pa.concat_tables([schema.empty_table(), *(pq.read_table(path, schema=schema) for path in paths)])

    def accepted(self, feed: str) -> list[dict]:
        return self._table("accepted", feed, arrow_schema(FEEDS[feed])).to_pylist()

    def held(self, feed: str) -> list[dict]:
        return self._table("held", feed, HELD_SCHEMA).to_pylist()

    def records(self, kind: str) -> list[dict]:
        return [json.loads(path.read_text()) for path in sorted((self.workspace.store / kind).glob("*.json"))]

    def everything_written(self) -> bytes:
        """All bytes below the store and the log."""
        paths = [path for path in self.workspace.store.rglob("*") if path.is_file()]
        return b"".join(path.read_bytes() for path in [*paths, self.log] if path.exists())


def source(**said: object) -> Source:
    return Source(**{"name": "bureau", "match": "bureau_*.csv", "feed": "assessments", **said})
