"""Risk assessments: when they are made, when they lapse, and how they are written down, right or wrong."""

import random
from datetime import date, datetime, timedelta

from pipeline.scenario.caseload import Person, Stay
from pipeline.scenario.frailty import Body, Course, rung, seen_items
from pipeline.scenario.records import Chart, Fault, entered, moment, stream
from pipeline.scenario.service import Calendar
from pipeline.scenario.wounds import Wound

# Days between looks that this service means to keep, by setting and risk; a wound makes it a week everywhere.
MEANT_DAYS = {
    "rehabilitation": (7, 7, 7, 7),
    "residential_care": (92, 30, 14, 7),
    "community": (92, 62, 30, 14),
}
WOUND_DAYS = 7
# The band words of the source system: published Braden bands, as upper ends.
BRADEN_WORDS = ((9, "very_high"), (12, "high"), (14, "moderate"), (18, "at_risk"), (23, "not_at_risk"))


def write_scores(
    chart: Chart, person: Person, body: Body, course: Course, wounds: list[Wound], *, calendar: Calendar, seed: int
) -> None:
    """All assessments of a person. One in fifty is never assessed."""
    chance = stream(seed, person.client_id, "scoring")
    if chance.random() < 0.008:
        return
    number = 0
    for place, stay in enumerate(person.stays, start=1):
        began = person.began(place, seed=seed)
        late = chance.random() < 0.05
        day = stay.start + timedelta(days=chance.randint(1, 9) if late else 0)
        ends = min(stay.end or calendar.last, calendar.last)
        while day <= ends:
            if day >= calendar.first - timedelta(days=120):
                number += 1
                at = moment(day, chance)
                if day == stay.start:
                    # Nobody is scored before they are there.
                    at = began + timedelta(minutes=chance.randint(15, 280))
                _write_score(chart, person, body, course, stay, at=at, number=number, chance=chance)
            day = _next_day(day, stay, wounds, rung(body, course, day), chance)


def _next_day(day: date, stay: Stay, wounds: list[Wound], risk: int, chance: random.Random) -> date:
    """When the next assessment is really made: mostly in time, one in seven lapses, a new wound brings it forward."""
    has_wound = any(wound.is_open(day) and wound.cause == "pressure" for wound in wounds)
    meant = WOUND_DAYS if has_wound else MEANT_DAYS[stay.team.care_setting][risk]
    if chance.random() < 0.13:
        following = day + timedelta(days=round(meant * chance.uniform(1.15, 2.3)))
    else:
        following = day + timedelta(days=meant - chance.randint(0, max(2, meant // 8)))
    arisen = [wound.opened for wound in wounds if day < wound.opened < following]
    if arisen and chance.random() < 0.85:
        following = min(following, max(day + timedelta(days=1), min(arisen) + timedelta(days=chance.randint(0, 4))))
    return following


def _write_score(
    chart: Chart, person: Person, body: Body, course: Course, stay: Stay, *, at: datetime, number: int,
    chance: random.Random,
) -> None:  # fmt: skip
    record_id = f"A-{person.client_id[2:]}-{number:03d}"
    day = at.date()
    known_at = entered(at, chance)
    items: dict[str, int] = seen_items(body, course, day, body.scale, chance)
    total = sum(items.values())
    cells: dict[str, object] = {
        "client_id": person.client_id,
        "assessed_at": day if stay.team.days_only and chance.random() < 0.6 else at,
        "scale": body.scale,
        **items,
        "recorded_total": total if chance.random() < 0.95 else None,
        "recorded_band": _word(total) if body.scale == "braden" and chance.random() < 0.7 else None,
        "assessor": f"S{chance.randint(1, 6):02d}-{stay.team.site}",
        "assessor_role": chance.choices(("nurse", "occupational_therapist"), weights=(85, 15))[0],
    }
    slip = chance.random()
    fault = None
    if slip < 0.02:
        cells[chance.choice(list(items))] = None
        fault = ("an item was left out", "incomplete")
    elif slip < 0.035:
        cells |= dict.fromkeys(items)
        cells["recorded_total"] = total
    elif slip < 0.065:
        cells["recorded_total"] = total + (chance.choice((-2, -1, 1, 2)) if 8 < total < 19 else -1 if total > 8 else 1)
        fault = ("total added up wrongly", "total_differs")
    if fault:
        chart.faults.append(Fault(fault[0], "assessments", record_id, person.client_id, known_at, "score", fault[1]))
    chart.write("assessments", record_id, known_at, cells)
    if fault is None and slip > 0.98:
        _correct_later(chart, record_id, known_at, cells, items, chance=chance)


def _correct_later(
    chart: Chart, record_id: str, known_at: datetime, cells: dict[str, object], items: dict[str, int], *,
    chance: random.Random,
) -> None:  # fmt: skip
    """Same id, later: an item read again, or the whole entry was made for the wrong person."""
    later = known_at + timedelta(days=chance.randint(2, 25), minutes=chance.randint(0, 50))
    if chance.random() < 0.3:
        chart.write("assessments", record_id, later, cells | {"record_status": "entered-in-error"})
        return
    item = chance.choice([name for name, score in items.items() if score > 1]) if max(items.values()) > 1 else None
    if item is None:
        return
    mended = items | {item: items[item] - 1}
    total = sum(mended.values())
    cells = cells | mended | {"recorded_total": total, "record_status": "amended"}
    if cells.get("recorded_band"):
        cells["recorded_band"] = _word(total)
    chart.write("assessments", record_id, later, cells)


def _word(total: int) -> str:
    return next(word for top, word in BRADEN_WORDS if total <= top)
