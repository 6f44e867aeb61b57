"""What the scenario writes down: versions of records, and the faults that were put into them on purpose."""

import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal

ID_COLUMNS = {
    "clients": "client_id",
    "placements": "placement_id",
    "assessments": "assessment_id",
    "circumstances": "circumstances_id",
    "injuries": "injury_observation_id",
    "loans": "loan_id",
    "actions": "action_id",
    "merges": "old_client_id",
}


@dataclass(frozen=True)
class Version:
    """One record as its export would send it from `updated_at` on. Cells are text, as in a file."""

    feed: str
    record_id: str
    updated_at: datetime
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Fault:
    """Something wrong that was put in on purpose, and what must come of it.

    `kind` is held, refused, waiting, rule, verdict, status, score or version; `expected` the code, rule or word.
    `as_of` is the day of the audit that must find it; None where any audit from then on will.
    `known_at` is the moment from which its export can carry it.
    """

    fault: str
    feed: str
    record_id: str
    client_id: str
    known_at: datetime
    kind: str
    expected: str
    as_of: date | None = None


@dataclass
class Chart:
    """Everything written about the people so far. The only thing that the course of a person adds to."""

    versions: list[Version] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def write(self, feed: str, record_id: str, updated_at: datetime, cells: Mapping[str, object]) -> None:
        """Add a version; blank and None cells are left out, numbers and days become text."""
        written = {name: text(value) for name, value in cells.items() if value is not None and value != ""}
        written[ID_COLUMNS[feed]] = record_id
        written["updated_at"] = text(updated_at)
        self.versions.append(Version(feed, record_id, updated_at, written))


def text(value: object) -> str:
    """A cell as an export writes it: ISO days and minutes, true and false, plain numbers."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        return value.strftime("%Y-%m-%dT%H:%M")
    if isinstance(value, float):
        return f"{Decimal(str(round(value, 2))).normalize():f}"
    return str(value)


def stream(*parts: object) -> random.Random:
    """A stream of chance of its own for each person and subject, so that a change in one leaves the others alone."""
    return random.Random("/".join(str(part) for part in parts))


def moment(day: date, chance: random.Random, *, earliest: int = 8, latest: int = 17) -> datetime:
    """A minute of a working day (hours `earliest` to `latest`)."""
    return datetime.combine(day, time(chance.randint(earliest, latest), chance.randrange(0, 60, 5)))


def entered(at: datetime, chance: random.Random) -> datetime:
    """When the source got to know: mostly the same day, at times one to three days later."""
    delay = chance.choices((0, 1, 2, 3), weights=(80, 12, 5, 3))[0]
    return at + timedelta(days=delay, minutes=chance.randint(5, 90))


def pick(chance: random.Random, weights: Mapping[str, float]) -> str:
    """One key of `weights`, by weight."""
    return chance.choices(list(weights), weights=list(weights.values()))[0]
