"""How frail a person is, day by day, and what a trained eye would score on that day."""

import random
from dataclasses import dataclass
from datetime import date, timedelta

from pipeline.scenario.caseload import Person
from pipeline.scenario.records import stream
from pipeline.scenario.service import Calendar

# Item ranges of the published scales, low is worse (Braden 1-4, friction and shear 1-3; Norton 1-4).
BRADEN = {"sensory_perception": 4, "moisture": 4, "activity": 4, "mobility": 4, "nutrition": 4, "friction_shear": 3}
NORTON = {"physical_condition": 4, "mental_condition": 4, "activity": 4, "mobility": 4, "incontinence": 4}
ITEMS = {"braden": BRADEN, "norton": NORTON}


@dataclass(frozen=True)
class Body:
    """What stays the same about a person."""

    sex: str
    age_years: int
    weight_kg: float
    height_cm: float
    spinal_cord_injury: bool
    diabetes: bool
    arterial_disease: bool
    lung_disease: bool
    scale: str
    leanings: dict[str, float]


@dataclass(frozen=True)
class Course:
    """Frailty by week: 0 well, 1 as frail as can be. `ill_on` are the days of an acute illness."""

    first: date
    weekly: tuple[float, ...]
    ill_on: tuple[date, ...]

    def on(self, day: date) -> float:
        week = (day - self.first).days // 7
        return self.weekly[min(max(week, 0), len(self.weekly) - 1)]


def body_of(person: Person, *, seed: int) -> Body:
    """Sex, age, build and conditions, and which items are worse than the frailty would say."""
    chance = stream(seed, person.client_id, "body")
    sex = "female" if chance.random() < 0.62 else "male"
    spinal = chance.random() < 0.04
    age = chance.randint(24, 68) if spinal else min(104, max(48, round(chance.gauss(81, 8.5))))
    height = chance.gauss(161 if sex == "female" else 174, 7)
    bmi = min(44.0, max(16.0, chance.gauss(25, 4.5)))
    norton = person.stays[0].team.care_setting == "residential_care" and chance.random() < 0.22
    leanings = {item: chance.gauss(0, 0.10) for item in sorted({*BRADEN, *NORTON})}
    if spinal:
        leanings |= {"sensory_perception": 0.35, "activity": 0.4, "mobility": 0.3}
    return Body(
        sex=sex,
        age_years=age,
        weight_kg=round(bmi * (height / 100) ** 2, 1),
        height_cm=round(height),
        spinal_cord_injury=spinal,
        diabetes=chance.random() < 0.24,
        arterial_disease=chance.random() < 0.13,
        lung_disease=chance.random() < 0.17,
        scale="norton" if norton else "braden",
        leanings=leanings,
    )


def course_of(person: Person, calendar: Calendar, *, seed: int) -> Course:
    """A slow drift, with acute illnesses that are mostly got over, and recovery while in rehabilitation."""
    chance = stream(seed, person.client_id, "frailty")
    level = min(0.85, max(0.05, chance.gauss(person.stays[0].team.frailty, 0.13)))
    first = min(calendar.first, person.stays[0].start)
    weekly, ill_on, shock = [], [], 0.0
    for week in range((calendar.last - first).days // 7 + 1):
        day = first + timedelta(days=7 * week)
        stay = person.stay_on(day)
        recovering = stay is not None and stay.team.care_setting == "rehabilitation"
        level += chance.gauss(-0.010 if recovering else 0.0012, 0.012)
        level = min(0.9, max(0.04, level))
        if chance.random() < 0.012:
            shock += chance.uniform(0.10, 0.32)
            ill_on.append(day + timedelta(days=chance.randrange(7)))
        weekly.append(round(min(0.97, level + shock), 4))
        shock *= 0.72
    return Course(first, tuple(weekly), tuple(ill_on))


def true_items(body: Body, course: Course, day: date, scale: str) -> dict[str, int]:
    """Item scores that a trained eye would give on `day`."""
    scores = {}
    for item, best in ITEMS[scale].items():
        loss = min(1.0, max(0.0, course.on(day) + body.leanings[item]))
        scores[item] = round(best - (best - 1) * loss)
    return scores


def seen_items(body: Body, course: Course, day: date, scale: str, chance: random.Random) -> dict[str, int]:
    """Item scores as somebody gave them: now and then one point off."""
    scores = true_items(body, course, day, scale)
    for item, best in ITEMS[scale].items():
        if chance.random() < 0.06:
            scores[item] = min(best, max(1, scores[item] + chance.choice((-1, 1))))
    return scores


def rung(body: Body, course: Course, day: date) -> int:
    """Where the person truly stands on the ladder 0 low, 1 at risk, 2 high, 3 very high.

    Published Braden bands (19-23, 15-18, 10-14, 6-9) and Norton edges (15, 13). It steers what the
    scenario lets happen and is not in the exports.
    """
    total = sum(true_items(body, course, day, body.scale).values())
    if body.scale == "norton":
        return 0 if total >= 15 else 1 if total >= 13 else 3
    return 0 if total >= 19 else 1 if total >= 15 else 2 if total >= 10 else 3
