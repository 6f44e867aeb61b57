"""Slips in the exports: a cell typed wrongly, a record sent twice, a person nobody knows. Each is listed.

They go into finished files, because that is where they happen: between the record system and the inbox.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from pipeline.scenario.drops import DRAWN_AT, EXTRA_CELL, Rows
from pipeline.scenario.records import ID_COLUMNS, Fault, stream, text

# Three slips in an ordinary week: rare enough that no file comes near the share at which it is refused.
SLIPS_A_WEEK = 3
Row = dict[str, str]


@dataclass(frozen=True)
class Slip:
    """A way to get a row wrong: what it is called, in which feed, what must come of it, and how it is done."""

    fault: str
    feed: str
    kind: str
    code: str
    spoil: Callable[[Row, date], Row | None]
    can_be_mended: bool = True


def _put(column: str, value: str, *, needs: str | None = None) -> Callable[[Row, date], Row | None]:
    """Write `value` over a column; None when the row has nothing there to get wrong."""

    def spoil(row: Row, day: date) -> Row | None:
        return row | {column: value} if (needs or column) in row else None

    return spoil


def _drop(column: str) -> Callable[[Row, date], Row | None]:
    return lambda row, day: {name: cell for name, cell in row.items() if name != column} if column in row else None


def _next_year(column: str) -> Callable[[Row, date], Row | None]:
    """The year typed one too high, as happens in January."""

    def spoil(row: Row, day: date) -> Row | None:
        cell = row.get(column)
        return row | {column: f"{int(cell[:4]) + 1}{cell[4:]}"} if cell and cell[5:10] != "02-29" else None

    return spoil


def _other_scale(row: Row, day: date) -> Row | None:
    return row | {"incontinence": "3"} if row.get("scale") == "braden" else None


def _item(value: str) -> Callable[[Row, date], Row | None]:
    return lambda row, day: row | {"nutrition": value} if row.get("scale") == "braden" and "nutrition" in row else None


def _as_it_is(row: Row, day: date) -> Row | None:
    return dict(row)


def _clock_ahead(row: Row, day: date) -> Row | None:
    return row | {"updated_at": text(datetime.combine(day + timedelta(days=2), time(9, 30)))}


SLIPS = (
    Slip("item of another scale filled", "assessments", "held", "item_of_another_scale", _other_scale),
    Slip("letter l for the digit 1", "injuries", "held", "not_a_number", _put("length_cm", "l.4")),
    Slip("team's own word for a code", "placements", "held", "unknown_code", _put("care_setting", "nursing home")),
    Slip("item score that the scale does not have", "assessments", "held", "item_out_of_range", _item("5")),
    Slip("a month that there is not", "circumstances", "held", "not_a_date", _put("skin_checked_on", "28/13/2025")),
    Slip("year one too high", "injuries", "held", "date_after_received", _next_year("observed_at")),
    Slip("scale that only this ward uses", "assessments", "held", "unknown_scale", _put("scale", "ward_score")),
    Slip("wrote 'y' for true", "loans", "held", "not_true_or_false", _put("in_use", "y?")),
    Slip("cell left blank that places the row", "injuries", "held", "missing_required", _drop("location")),
    Slip("weight in grams", "circumstances", "held", "out_of_range", _put("weight_kg", "64500")),
    Slip("space inside a pseudonym", "assessments", "held", "bad_id", _put("client_id", "C 0123")),
    Slip("pump cycle with a comma", "loans", "held", "not_a_number", _put("cycle_minutes", "10,5")),
    Slip("half a year of age", "clients", "held", "not_whole", _put("age_years", "82.5")),
    Slip("clock of the record system runs ahead", "injuries", "held", "updated_after_received", _clock_ahead),
    Slip("time with a word in it", "assessments", "held", "not_a_time", _put("assessed_at", "Monday 9:30")),
    Slip("person nobody has named", "injuries", "waiting", "client_unknown", _put("client_id", "C-9017"), False),
    Slip("comma without quotes", "placements", "held", "wrong_cell_count", _put(EXTRA_CELL, "ward 2", needs="team")),
    Slip("same record twice in one file", "circumstances", "held", "duplicate_id", _put("moisture", "constant")),
    Slip("record number given to somebody else", "loans", "waiting", "id_reused", _put("client_id", "C-0001")),
    Slip("same row sent twice", "injuries", "version", "duplicate", _as_it_is, False),
    Slip("issued next year", "loans", "held", "date_after_received", _next_year("issued_on")),
    Slip("width of a bed in millimetres", "circumstances", "held", "out_of_range", _put("bed_width_cm", "900")),
)  # fmt: skip


def spoil(
    files: dict[tuple[date, str], Rows], *, days: Mapping[str, Sequence[date]], spare: frozenset[str], seed: int
) -> list[Fault]:
    """Put slips into the weekly files (not into the first, which is history), in place; returns what was put in.

    `days` are each feed's drop days, `spare` the records that are to be left alone. Three of four are mended: the next
    export of the feed carries the record again, right, and changed later.
    """
    faults: list[Fault] = []
    touched = set(spare)
    turn = 0
    for day in days["assessments"][1:]:
        for _ in range(SLIPS_A_WEEK):
            slip = SLIPS[turn % len(SLIPS)]
            own = [drop for drop in days[slip.feed] if drop <= day]
            is_mended = turn % 4 != 3 and slip.can_be_mended
            turn += 1
            key = (own[-1], slip.feed)
            if own[-1] == days[slip.feed][0] or key not in files:
                continue
            following = days[slip.feed][len(own)] if len(own) < len(days[slip.feed]) else None
            fault = _slip(files, slip, key=key, mended_on=following if is_mended else None, touched=touched, seed=seed)
            if fault is not None:
                faults.append(fault)
    return faults


def _slip(
    files: dict[tuple[date, str], Rows], slip: Slip, *, key: tuple[date, str], mended_on: date | None,
    touched: set[str], seed: int,
) -> Fault | None:  # fmt: skip
    day, feed = key
    id_column = ID_COLUMNS[feed]
    rows = files[key]
    chance = stream(seed, "slip", day, feed, slip.fault)
    order = list(range(len(rows)))
    chance.shuffle(order)
    for place in order:
        right = rows[place]
        wrong = slip.spoil(right, day)
        if wrong is None or right[id_column] in touched or (wrong == right and slip.code != "duplicate"):
            continue
        if slip.code == "id_reused" and not _was_sent_before(files, key, id_column, right[id_column]):
            continue
        touched.add(right[id_column])
        if slip.code in ("duplicate_id", "duplicate"):
            rows.insert(place + 1, wrong)
        else:
            rows[place] = wrong
        if mended_on is not None and (mended_on, feed) in files:
            later = text(datetime.combine(mended_on, DRAWN_AT) - timedelta(hours=14))
            files[mended_on, feed].append(right | {"updated_at": later})
        known_at = datetime.combine(day, DRAWN_AT)
        return Fault(slip.fault, feed, wrong[id_column], right.get("client_id", ""), known_at, slip.kind, slip.code)
    return None


def _was_sent_before(
    files: Mapping[tuple[date, str], Rows], key: tuple[date, str], id_column: str, record_id: str
) -> bool:
    day, feed = key
    earlier = (rows for (drop, name), rows in files.items() if name == feed and drop < day)
    return any(row[id_column] == record_id for rows in earlier for row in rows)
