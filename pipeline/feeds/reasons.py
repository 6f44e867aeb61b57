"""Why a row is held or waits and why a file is refused: one table for the log, the lists, the pages and the docs."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

TABLE = Path(__file__).with_name("reasons.csv")
KINDS = ("held", "refused", "waiting")


@dataclass(frozen=True)
class Reason:
    """One reason. `kind` is held (a row), refused (a whole file) or waiting (a row, decided in review)."""

    code: str
    kind: str
    title: str
    meaning: str
    mended_by: str


def _read_table() -> dict[str, Reason]:
    with TABLE.open(encoding="utf-8", newline="") as lines:
        return {row["code"]: Reason(**row) for row in csv.DictReader(lines)}


REASONS: dict[str, Reason] = _read_table()
