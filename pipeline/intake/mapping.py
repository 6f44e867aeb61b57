"""How one file's columns read as the feed's columns, and the fingerprint of everything that decides it."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping as Table
from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal

from pipeline.feeds import wound_codes
from pipeline.feeds.columns import FEEDS, Feed
from pipeline.intake.discovery import NO_SOURCE
from pipeline.intake.outcome import Refused
from pipeline.settings import Source

# Raised when the same bytes would be read differently by this software than by the one before.
READING = 1

# The scores that each item of each scale may have.
ScaleItems = Table[str, Table[str, tuple[Decimal, ...]]]
PLAIN = Source(name=NO_SOURCE, match="", feed="")


@dataclass(frozen=True)
class Plan:
    """How to read one file of one feed.

    `positions` maps our column (an item of a scale too) to its place among the file's columns; `dropped` lists the
    headings, with their places, that are never stored; `delimiter` parts the cells; `updated_at` is set when the source
    takes it from the file's name; `zone` is the workspace's.
    """

    feed: Feed
    source: Source
    headings: tuple[str, ...]
    positions: dict[str, int]
    dropped: tuple[tuple[str, int], ...]
    scales: ScaleItems
    contract: str
    zone: str
    delimiter: str = ","
    updated_at: datetime | None = None

    @property
    def columns_told(self) -> tuple[str, ...]:
        """Our columns that the file or its name states, in the feed's order, items in the order of their names."""
        return self._in_order(set(self.positions) | ({"updated_at"} if self.updated_at else set()))

    @property
    def columns(self) -> tuple[str, ...]:
        """Those, and the columns that a code in another one fills."""
        return self._in_order({*self.columns_told, *_filled_by_codes(self.feed, self.positions)})

    def _in_order(self, named: set[str]) -> tuple[str, ...]:
        order = {column.name: place for place, column in enumerate(self.feed.columns)}
        return tuple(sorted(named, key=lambda name: (order.get(name, len(order)), name)))

    @property
    def items(self) -> tuple[str, ...]:
        """The file's columns that are items of a scale, by name."""
        fixed = {column.name for column in self.feed.fixed}
        return tuple(sorted(set(self.positions) - fixed))


def _filled_by_codes(feed: Feed, positions: Table[str, int]) -> tuple[str, ...]:
    """The columns that the codes of a file may fill, whether it has them or not."""
    holds_codes = feed.name == wound_codes.FEED and {wound_codes.CODE_COLUMN, *wound_codes.FILLED} & set(positions)
    return wound_codes.FILLED if holds_codes else ()


def contract_of(feed: Feed, *, source: Source | None, scales: ScaleItems, zone: str) -> str:
    """sha256 (64 hex) over feed columns, scale items and mapping: equal bytes under an equal contract read the same."""
    columns = [
        [c.name, c.type, c.required, list(c.codes), _text(c.low), _text(c.high), c.is_planned] for c in feed.columns
    ]
    items = {
        scale: {item: [_text(score) for score in scores] for item, scores in found.items()}
        for scale, found in (scales.items() if feed.has_items else ())
    }
    said = [READING, feed.name, columns, items, zone, asdict(source) if source else None]
    said += [wound_codes.fingerprint()] if feed.name == wound_codes.FEED else []
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()


def _text(number: Decimal | None) -> str | None:
    # A policy may write 4 or 4.0; both are the same limit.
    return None if number is None else format(number.normalize(), "f")


def plan_for(
    feed_name: str, *, source: Source | None, headings: tuple[str, ...], scales: ScaleItems, contract: str, zone: str,
    file_name: str, delimiter: str = ",",
) -> Plan:  # fmt: skip
    """The plan of one file. Raises Refused: duplicate_heading, missing_column, no_date_in_name."""
    feed, mapping = FEEDS[feed_name], source or PLAIN
    known = {column.name for column in feed.fixed}
    if feed.has_items:
        known |= {item for items in scales.values() for item in items}
    positions, dropped = _place(headings, mapping=mapping, known=known)
    updated_at = _from_name(mapping.updated_at, file_name) if mapping.updated_at else None
    # A column of codes stands for those that it fills.
    told = {*positions, *(wound_codes.FILLED if wound_codes.CODE_COLUMN in positions else ())}
    missing = [c.name for c in feed.fixed if c.required and c.name not in told]
    if missing:
        raise Refused("missing_column", columns=tuple(missing))
    return Plan(
        feed=feed, source=mapping, headings=headings, positions=positions, dropped=dropped, scales=scales,
        contract=contract, zone=zone, delimiter=delimiter, updated_at=updated_at,
    )  # fmt: skip


def _place(
    headings: tuple[str, ...], *, mapping: Source, known: set[str]
) -> tuple[dict[str, int], tuple[tuple[str, int], ...]]:
    positions: dict[str, int] = {}
    dropped: list[tuple[str, int]] = []
    seen: set[str] = set()
    for place, heading in enumerate(headings):
        ours = mapping.columns.get(heading, heading)
        # A spreadsheet often leaves several columns without a heading at its right edge; those are no ambiguity.
        if ours in positions or (heading and heading in seen):
            raise Refused("duplicate_heading", columns=(heading,))
        seen.add(heading)
        if ours in known:
            positions[ours] = place
        else:
            dropped.append((heading, place))
    return positions, tuple(dropped)


_PARTS = {"%Y": r"\d{4}"} | dict.fromkeys(("%y", "%m", "%d", "%H", "%M", "%S"), r"\d{2}")


def _from_name(said: str, file_name: str) -> datetime:
    # Settings have made sure that it reads "file name, <format>".
    form = said.partition(",")[2].strip()
    pattern = "".join(_PARTS.get(part) or re.escape(part) for part in re.findall(r"%.|[^%]+", form))
    base = file_name.rsplit("/", 1)[-1]
    for match in re.finditer(rf"(?<!\d)(?=({pattern})(?!\d))", base):
        try:
            # Local time of the workspace, like every time in a cell without an offset.
            return datetime.strptime(match.group(1), form)  # noqa: DTZ007
        except ValueError:
            continue
    raise Refused("no_date_in_name")
