"""Where the store keeps what, and how its small JSON records read: the border between intake and review.

store/{accepted,held}/<feed>/<file_key>.parquet     what a receipt names; file_key = <file_id>-<first 8 of contract>
store/receipts/<file_key>.json                      its atomic rename is the commit of a file
store/arrivals/<hash>.json                          one for each new sighting of a file that is in the store
store/refused/<file_id>-<feed>-<contract8>.json     an outcome that is repeated while the file lies in the inbox
store/.staging/                                     unfinished; swept at the start of the next intake
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field, fields, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Self

RECEIPT_VERSION = 1
# The folders of small JSON records, all of them written by intake alone.
PAPERS = ("receipts", "arrivals", "refused")


@dataclass(frozen=True)
class _Record:
    """One JSON file of the store. Instants are ISO 8601 in UTC with a Z, days ISO 8601."""

    @classmethod
    def from_json(cls, text: str | bytes) -> Self:
        """A record of the store; fields that a later version added are left aside."""
        known = {one.name for one in fields(cls)}
        said: dict[str, Any] = {name: value for name, value in json.loads(text).items() if name in known}
        return cls(**{name: tuple(value) if isinstance(value, list) else value for name, value in said.items()})

    def to_json(self) -> bytes:
        """Sorted keys and a final newline: equal records are equal bytes."""
        return (json.dumps(asdict(self), ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


class _Sealed(_Record):
    """A record with a sum over its other fields, `own_sha256`, so that a changed byte of it shows."""

    def sealed(self) -> Self:
        """The same record with its own sum filled in."""
        bare = replace(self, own_sha256="").to_json()
        return replace(self, own_sha256=hashlib.sha256(bare).hexdigest())


@dataclass(frozen=True)
class Receipt(_Sealed):
    """What one reading of one file gave: rows_read = accepted + held, always.

    `file_id` is the SHA-256 of the file's bytes and `contract` that of the feed's columns, the scales' items and the
    mapping. `bytes` is the file's size, `file_name` its path below inbox/. `columns_used` are the feed's columns,
    `columns_dropped` the file's headings that were never stored. `first_on` and `last_on` span the accepted rows'
    events, None without any. `codes_noted` counts the accepted rows for each "note:column:code" of a wound's codes.
    """

    receipt_version: int
    file_id: str
    file_name: str
    bytes: int
    source: str
    feed: str
    received_at: str
    contract: str
    software_version: str
    rows_read: int
    accepted: int
    held: int
    held_by_code: dict[str, int]
    columns_used: tuple[str, ...]
    columns_dropped: tuple[str, ...]
    first_on: str | None
    last_on: str | None
    accepted_sha256: str
    held_sha256: str
    age_capped: int = 0
    codes_noted: dict[str, int] = field(default_factory=dict)
    # A receipt vouches for its two Parquet files, and this vouches for the receipt.
    own_sha256: str = ""

    @property
    def file_key(self) -> str:
        return file_key(self.file_id, self.contract)

    @property
    def received(self) -> datetime:
        return datetime.fromisoformat(self.received_at)


@dataclass(frozen=True)
class Arrival(_Record):
    """A new sighting of a file that the store holds; `mtime_ns` tells a new drop from a file that still lies there."""

    file_id: str
    feed: str
    source: str
    contract: str
    file_name: str
    mtime_ns: int
    received_at: str

    @property
    def file_key(self) -> str:
        return file_key(self.file_id, self.contract)


@dataclass(frozen=True)
class Refusal(_Sealed):
    """A file that was not taken in. `feed`, `source` and `contract` are "" when no feed could be told.

    `columns` are headings and `row` the first spreadsheet row concerned, None where no row is; `rows_read` and `held`
    are counts. It stands from `received_at` until `gone_at`, the first intake that no longer found the file in the
    inbox; None while it lies there. `earlier` are its spells before that, as ISO intervals "from/to".
    """

    file_id: str
    file_name: str
    source: str
    feed: str
    contract: str
    code: str
    received_at: str
    columns: tuple[str, ...] = ()
    row: int | None = None
    rows_read: int = 0
    held: int = 0
    held_by_code: dict[str, int] | None = None
    gone_at: str | None = None
    earlier: tuple[str, ...] = ()
    # A refusal changes with its spells and is sealed again each time.
    own_sha256: str = ""

    def gone(self, when: str) -> Refusal:
        """The same, once an intake at `when` did not find the file."""
        return replace(self, gone_at=when)

    def back(self, when: str) -> Refusal:
        """The same, once an intake at `when` found the file again."""
        spell = f"{self.received_at}/{self.gone_at}"
        return replace(self, received_at=when, gone_at=None, earlier=(*self.earlier, spell))

    def since(self, moment: datetime) -> str | None:
        """Since when the file had been refused and in the inbox at an aware moment; None when it was not."""
        spells = [spell.split("/") for spell in self.earlier] + [[self.received_at, self.gone_at or ""]]
        return next((start for start, end in spells if _holds(start, end, moment)), None)


def _holds(start: str, end: str, moment: datetime) -> bool:
    return datetime.fromisoformat(start) <= moment and (not end or moment < datetime.fromisoformat(end))


def file_key(file_id: str, contract: str) -> str:
    """The name that a reading has in the store: the same bytes under another contract are another reading."""
    return f"{file_id}-{contract[:8]}"


def accepted_path(store: Path, *, feed: str, key: str) -> Path:
    """The Parquet of a reading's accepted rows; `key` is the receipt's file_key."""
    return store / "accepted" / feed / f"{key}.parquet"


def held_path(store: Path, *, feed: str, key: str) -> Path:
    """The Parquet of a reading's held rows; `key` is the receipt's file_key."""
    return store / "held" / feed / f"{key}.parquet"


def receipt_path(store: Path, key: str) -> Path:
    """The receipt of a reading: its being there is what makes the reading count."""
    return store / "receipts" / f"{key}.json"


def refusal_path(store: Path, refusal: Refusal) -> Path:
    """Where a refusal is remembered: one for the same bytes, feed and contract."""
    return store / "refused" / f"{refusal.file_id}-{refusal.feed or 'unknown'}-{refusal.contract[:8] or 'none'}.json"


def arrival_path(store: Path, arrival: Arrival) -> Path:
    """Where an arrival is kept: it is named by its own bytes, so a change of one of them shows."""
    return store / "arrivals" / f"{hashlib.sha256(arrival.to_json()).hexdigest()[:32]}.json"


def roll_call(store: Path) -> dict[str, str]:
    """For each folder of papers one sum over what lies there, by which a paper that is gone or new is noticed.

    Names are enough for receipts and arrivals, which never change; a refusal is written again, so its bytes count too.
    """
    sums = {}
    for folder in PAPERS:
        papers = [path for path in sorted((store / folder).glob("*.json")) if not path.name.startswith(".")]
        told = [path.name.encode() + (path.read_bytes() if folder == "refused" else b"") for path in papers]
        sums[f"{folder}_sha256"] = hashlib.sha256(b"\n".join(told)).hexdigest()
    return sums


def read_receipts(store: Path) -> list[Receipt]:
    """All receipts, oldest first; a file without one was never taken in."""
    found = [Receipt.from_json(text) for text in _texts(store / "receipts")]
    return sorted(found, key=lambda receipt: (receipt.received_at, receipt.file_key))


def read_arrivals(store: Path) -> list[Arrival]:
    """All arrivals, oldest first."""
    found = [Arrival.from_json(text) for text in _texts(store / "arrivals")]
    return sorted(found, key=lambda seen: (seen.received_at, seen.file_key, seen.file_name, seen.mtime_ns))


def read_refusals(store: Path) -> list[Refusal]:
    """All refusals, oldest first. One whose bytes and feed have a later receipt is history: the mapping was mended."""
    found = [Refusal.from_json(text) for text in _texts(store / "refused")]
    return sorted(found, key=lambda refusal: (refusal.received_at, refusal.file_id, refusal.feed, refusal.contract))


def _texts(folder: Path) -> Iterator[bytes]:
    # A name that starts with a dot is a write that never finished.
    for path in sorted(folder.glob("*.json")) if folder.is_dir() else ():
        if not path.name.startswith("."):
            yield path.read_bytes()
