"""A small caseload whose only purpose is to be awkward: blanks, ties, leap days, repeated records, many codes.

Every column of every feed is filled from its own type, codes and range, so a new column is covered without a word here.
"""

import csv
import datetime as dt
import random
from pathlib import Path

from pipeline.feeds.columns import FEEDS, ITEM_WILDCARD, Column, Feed
from pipeline.policy import Policy
from pipeline.policy.shapes import CARE_SETTINGS
from pipeline.resources import policy_dir

PEOPLE = 36
ROWS = {"clients": 40, "placements": 60, "assessments": 260, "circumstances": 110, "injuries": 130, "loans": 110,
        "actions": 40, "merges": 3}  # fmt: skip
# Long enough for a chart to have a baseline and months after it.
FIRST_DAY, LAST_DAY = dt.date(2024, 9, 1), dt.date(2026, 2, 27)
ODD_DAYS = (dt.date(2024, 2, 29), dt.date(2025, 12, 31), dt.date(2026, 1, 1), dt.date(2025, 10, 26))
BLANK_SHARE = 0.25
# What chance would hardly bring together: a surface that must be stopped, a finding that is new this week in many, one
# that somebody answered, and one that comfort first softens. Most of it comes with the second drop.
SHAPED = {"placements": 11, "circumstances": 11, "loans": 11, "actions": 4}
SHAPES: dict[str, dict[str, str | None]] = {
    "circumstances": {
        "observed_on": "2026-02-27", "unstable_spine": "true", "traction": "false", "bed_rails": "true",
        "rail_gap_inside_mm": "135", "comfort_first": "true", "goals_reviewed_on": "2026-02-25", "palliative": "true",
        "heel_offloading": "none", "bed_mobility": "immobile", "declined_what": "heel", "declined_on": "2026-02-20",
        "decline_recorded_fully": "true", "decline_review_on": "2026-04-01", "record_status": None,
    },
    "loans": {
        "position": "lying", "surface_class": "alternating_air", "mode": "alternating", "loan_status": "issued",
        "requested_on": "2026-01-02", "issued_on": "2026-01-05", "returned_on": None, "state_seen_on": "2026-02-26",
        "pump_state": "alarm", "in_use": "true",
        "serviced_on": "2024-09-05", "placement_id": None, "owner": "loan_service", "record_status": None,
    },
    "placements": {"started_at": "2025-10-01", "ended_at": None, "record_status": None},
    "actions": {"rule": "service_overdue", "acted_on": "2026-02-27", "loan_id": None, "injury_id": None,
                "record_status": None},
}  # fmt: skip
TOLD_BY_TWO = ("placements", "loans", "injuries")


def write_policy(folder: Path) -> Path:
    """A service's own policy: the shipped one has no cut-offs of one setting, and that step would have no row."""
    shipped = (policy_dir() / "scales" / "norton.toml").read_text("utf-8")
    cut = ", basis = 'decision', source = 'invented' }, "
    bands = "".join(
        f"{{ care_setting = '{setting}', band = '{band}', label = '{band}', from_total = {low}, to_total = {high},"
        f" risk_rung = {rung}{cut}"
        for setting in CARE_SETTINGS
        for band, low, high, rung in (("high", 5, 11, 2), ("not_at_risk", 12, 20, 0))
    )
    (folder / "scales").mkdir(parents=True)
    ours = shipped.replace("items = [", f"setting_bands = [{bands}]\nitems = [", 1)
    (folder / "scales" / "norton.toml").write_text(ours, encoding="utf-8")
    return folder


def write_caseload(inbox: Path, policy: Policy, *, seed: int) -> None:
    """One CSV for each feed, and a second one for each that says some records again, changed or not."""
    dice = random.Random(seed)
    for feed in FEEDS.values():
        rows = [_row(feed, number, policy, dice) for number in range(ROWS[feed.name])]
        again = [_changed(feed, row, dice) for row in dice.sample(rows, k=len(rows) // 5)]
        # Some records come late, for what is dated after an export came is held and never seen.
        late = len(rows) // 10
        _write(inbox / "first" / f"{feed.name}.csv", rows[late:])
        _write(inbox / "second" / f"{feed.name}_again.csv", rows[:late] + again)
        if feed.name in TOLD_BY_TWO:
            # Another source numbers its own records alike.
            _write(inbox / "second" / f"{feed.name}_ward.csv", rows[-12:])


def _write(path: Path, rows: list[dict[str, str]]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    headings = list(dict.fromkeys(name for row in rows for name in row))
    with path.open("w", newline="", encoding="utf-8") as lines:
        writer = csv.DictWriter(lines, headings, restval="")
        writer.writeheader()
        writer.writerows(rows)


def _row(feed: Feed, number: int, policy: Policy, dice: random.Random) -> dict[str, str]:
    row = {}
    for column in feed.columns:
        if column.name == ITEM_WILDCARD:
            row |= _items(policy, row["scale"], dice)
        elif column.name == feed.id_column:
            row[column.name] = f"{feed.name[0].upper()}-{number:04d}"
        else:
            row[column.name] = _cell(column, policy, dice)
    if feed.name == "clients":
        row["client_id"] = f"C-{number:04d}"
    if feed.name == "merges":
        row |= {"old_client_id": f"C-{PEOPLE - 1 - number:04d}", "client_id": f"C-{number:04d}"}
    if feed.name == "injuries":
        # Several looks at one wound belong to one person, or nothing about its course could be said.
        wound = dice.randrange(2 * PEOPLE)
        row |= {"injury_id": f"W-{wound:04d}", "client_id": f"C-{wound * 7 % PEOPLE:04d}"}
        if number < 6:
            # First seen after the day of the audit before, which is what that audit's news is made of.
            row |= {"injury_id": f"W-NEW{number}", "observed_at": "2026-02-26"}
        if number == 0:
            row |= {"stage": "420597008"}
    if number < SHAPED.get(feed.name, 0):
        row |= {"client_id": f"C-{number:04d}"} | SHAPES[feed.name]
        if feed.name == "actions":
            row["outcome"] = ("not_applicable", "accepted", "corrected", "not_reached")[number]
    return {name: cell for name, cell in row.items() if cell is not None}


def _items(policy: Policy, scale: str, dice: random.Random) -> dict[str, str]:
    is_whole_form = dice.random() < 0.8
    cells = {}
    for item, scores in policy.scale_items()[scale].items():
        if is_whole_form or dice.random() < 0.7:
            cells[item] = str(dice.choice(scores))
    return cells if dice.random() < 0.9 else {}


def _cell(column: Column, policy: Policy, dice: random.Random) -> str | None:
    if not column.required and dice.random() < BLANK_SHARE:
        return None
    if column.name == "client_id":
        return f"C-{dice.randrange(PEOPLE):04d}"
    if column.name == "record_status":
        return dice.choice(["final", "amended", "final", "entered-in-error"]) if dice.random() < 0.2 else None
    if column.name == "scale":
        return dice.choice(sorted(policy.scale_items()))
    if column.name == "rule":
        return dice.choice([rule.rule for rule in policy.rules(LAST_DAY)] + ["no_such_rule"])
    if column.name == "recorded_band":
        return dice.choice(["not_at_risk", "at_risk", "high", "very_high"])
    if column.name == "icd10_code":
        return None
    return _typed(column, dice)


def _typed(column: Column, dice: random.Random) -> str:
    if column.type == "codes":
        return ";".join(sorted(dice.sample(column.codes, k=dice.randint(1, 2))))
    if column.type == "code":
        return dice.choice(column.codes)
    if column.type == "boolean":
        return dice.choice(["true", "false"])
    if column.type in ("integer", "number"):
        return _number(column, dice)
    if column.type == "date":
        return _day(dice).isoformat()
    if column.type == "timestamp":
        return _time(dice)
    if column.type == "id":
        return f"{column.name[0].upper()}-{dice.randrange(60):04d}"
    return f"{column.name[:4]}-{dice.randrange(5)}"


def _number(column: Column, dice: random.Random) -> str:
    low = int(column.low or 0)
    # Small values are likelier, because most limits that the rules know lie there.
    high = min(int(column.high) if column.high is not None else low + 60, low + dice.choice([3, 30, 400]))
    whole = dice.randint(low, max(low, high))
    return str(whole) if column.type == "integer" or dice.random() < 0.7 else f"{whole}.5"


def _day(dice: random.Random) -> dt.date:
    if dice.random() < 0.1:
        return dice.choice(ODD_DAYS)
    return FIRST_DAY + dt.timedelta(days=dice.randrange((LAST_DAY - FIRST_DAY).days))


def _time(dice: random.Random) -> str:
    day = _day(dice).isoformat()
    # Few hours, so that ties happen; and a share of days alone.
    return day if dice.random() < 0.2 else f"{day}T{dice.choice(['00:00', '01:30', '08:00', '23:59:59'])}"


def _changed(feed: Feed, row: dict[str, str], dice: random.Random) -> dict[str, str]:
    if dice.random() < 0.3:
        return row
    column = dice.choice([column for column in feed.fixed if not column.required and column.name != "client_id"])
    again = dict(row) | {"updated_at": "2026-02-28T08:00"}
    if column.name not in ("updated_at", "icd10_code", "record_status"):
        again[column.name] = _typed(column, dice)
    return again
