"""The numbers of the shipped policy as tables that a clinician has read: a number that changes must change here too.

This is double entry, not proof: what a number rests on stands in its policy block, and the checks against published
values are in tests/standards. Here an accidental change turns red.
"""

from decimal import Decimal
from functools import cache
from pathlib import Path

import pyarrow as pa

from tests.models.cases import Table, read_case

HERE = Path(__file__).parent


def frozen_tables() -> dict[str, Path]:
    """The table of each frozen policy relation, by its name below policy."""
    return {path.stem: path for path in sorted(HERE.glob("*.md"))}


def changed_in(tables: dict[str, pa.Table]) -> list[str]:
    """The frozen relations that do not hold what their table says."""
    return [name for name, path in frozen_tables().items() if not _holds(tables[name], path)]


def _holds(table: pa.Table, path: Path) -> bool:
    told = _told(path)
    rows = [tuple(_plain(row[name]) for name in told.columns) for row in table.to_pylist()]
    return sorted(rows, key=str) == sorted(told.rows, key=str)


@cache
def _told(path: Path) -> Table:
    return read_case(path).expect


def _plain(cell: object) -> str | None:
    if cell is None:
        return None
    if isinstance(cell, bool):
        return str(cell).lower()
    # As a person writes it: 0.65 and not 0.6500.
    return f"{cell.normalize():f}" if isinstance(cell, Decimal) else str(cell)
