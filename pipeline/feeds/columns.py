"""The columns of every feed, read from the one table `feeds.csv` beside this module.

The table is the single place that says what an export holds: schemas, the intake SQL, mapping help and documentation
are all made from it, so a new column is one new row there and nothing here.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import pyarrow as pa

TABLE = Path(__file__).with_name("feeds.csv")

# One row of the table stands for "one column for each item of the scale"; the items themselves come from the policy.
ITEM_WILDCARD = "<item>"
ITEMS_COLUMN = "items"

# Days that are plans: they may lie in the future, so they are neither held for it nor blanked after the as-of day.
PLANNED = frozenset({"planned_end_on", "review_on", "decline_review_on"})

NUMBER = pa.decimal128(18, 4)

_ARROW_TYPES = {
    "id": pa.string(),
    "text": pa.string(),
    "code": pa.string(),
    "codes": pa.string(),
    "date": pa.date32(),
    "timestamp": pa.timestamp("us"),
    "integer": pa.int32(),
    "number": NUMBER,
    "boolean": pa.bool_(),
}
_UNITS = ("kg", "cm", "mm", "min/day", "min", "h/day", "h", "degrees")


@dataclass(frozen=True)
class Column:
    """One column of a feed.

    `codes` is empty for any type but code and codes; `low` and `high` are inclusive and None where the table gives no
    range; `unit` is "" for a column without one. `is_planned` marks a day that may lie in the future.
    """

    name: str
    type: str
    required: bool
    codes: tuple[str, ...]
    low: Decimal | None
    high: Decimal | None
    unit: str
    meaning: str
    is_planned: bool

    @property
    def is_dated(self) -> bool:
        return self.type in ("date", "timestamp")


@dataclass(frozen=True)
class Feed:
    """One feed: its name, the column that identifies a record, and its columns in the order of the table."""

    name: str
    id_column: str
    columns: tuple[Column, ...]

    @property
    def fixed(self) -> tuple[Column, ...]:
        """The columns without the item wildcard."""
        return tuple(column for column in self.columns if column.name != ITEM_WILDCARD)

    @property
    def has_items(self) -> bool:
        return len(self.fixed) < len(self.columns)

    @property
    def event_column(self) -> str:
        """The day or time that a row is about: the first required one, or `updated_at` where the feed requires none."""
        return next((c.name for c in self.columns if c.is_dated and c.required), "updated_at")

    def column(self, name: str) -> Column:
        """The column of that name; KeyError if the feed has none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)


def _column(row: dict[str, str]) -> Column:
    bounds, codes = (None, None), ()
    limits = row["codes_or_range"]
    if ".." in limits:
        bounds = tuple(Decimal(part) for part in limits.split(".."))
    elif limits:
        codes = tuple(limits.split("|"))
    words = row["unit_or_meaning"]
    is_measure = row["type"] in ("integer", "number")
    unit = next((u for u in _UNITS if is_measure and (words == u or words.startswith((f"{u},", f"{u} ")))), "")
    return Column(
        name=row["column"],
        type=row["type"],
        required=row["required"] == "yes",
        codes=codes,
        low=bounds[0],
        high=bounds[1],
        unit=unit,
        meaning=words[len(unit) :].lstrip(", "),
        is_planned=row["column"] in PLANNED,
    )


def _read_table() -> dict[str, Feed]:
    columns: dict[str, list[Column]] = {}
    with TABLE.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            columns.setdefault(row["feed"], []).append(_column(row))
    # The table puts the record's own id first in every feed; a test holds it to the ids that people use.
    return {name: Feed(name, rows[0].name, tuple(rows)) for name, rows in columns.items()}


FEEDS: dict[str, Feed] = _read_table()


def arrow_schema(feed: Feed) -> pa.Schema:
    """The fixed schema of a feed's accepted Parquet file.

    The feed's columns in the order of the table, each `timestamp` followed by a boolean `<name>_has_time` (false: only
    the day is known), the item wildcard as one text column `items` ("activity 2; mobility 3" by item name, blank when
    none was scored), then `file_key`, `source_row` (the header is row 1) and `content_key` (16 hex digits, equal for
    rows that are equal in every feed column).
    """
    fields = []
    for column in feed.columns:
        if column.name == ITEM_WILDCARD:
            fields.append(pa.field(ITEMS_COLUMN, pa.string()))
            continue
        fields.append(pa.field(column.name, _ARROW_TYPES[column.type]))
        if column.type == "timestamp":
            fields.append(pa.field(f"{column.name}_has_time", pa.bool_()))
    return pa.schema([*fields, ("file_key", pa.string()), ("source_row", pa.int64()), ("content_key", pa.string())])


# One schema for the held rows of all feeds: `codes` and `columns` are joined by ";" in step, `raw` is JSON text of the
# mapped cells.
HELD_SCHEMA = pa.schema(
    [
        ("source_row", pa.int64()),
        ("record_id", pa.string()),
        ("client_id", pa.string()),
        ("codes", pa.string()),
        ("columns", pa.string()),
        ("raw", pa.string()),
    ]
)
