"""Wounds: where they arise, how they look week by week, and whether they heal, stall or get worse."""

import random
from dataclasses import dataclass, field
from datetime import date, timedelta

from pipeline.scenario.caseload import Person, Stay
from pipeline.scenario.frailty import Body, Course
from pipeline.scenario.records import pick, stream
from pipeline.scenario.service import Calendar

LOCATIONS = {
    "sacrum": 27, "heel": 22, "buttock": 12, "ischium": 7, "coccyx": 6, "trochanter": 6, "malleolus": 4, "elbow": 3,
    "toe": 2, "ear": 2, "spine": 2, "knee": 1, "lower_leg": 1, "thigh": 1, "occiput": 1, "shoulder": 1, "scapula": 1,
    "foot": 1, "nose": 0.6, "face": 0.4, "mucosa": 0.5, "other": 0.5, "not_recorded": 0.5,
}  # fmt: skip
MIDLINE = ("sacrum", "coccyx", "spine", "occiput", "nose", "face", "mucosa", "other", "not_recorded")
DEVICES = {"ear": "oxygen tubing", "nose": "nasal mask", "face": "mask strap", "mucosa": "catheter"}
STAGES = {"stage_1": 28, "stage_2": 51, "stage_3": 6, "stage_4": 2, "unstageable": 5, "deep_tissue_injury": 8}
DEEP = ("stage_3", "stage_4", "unstageable", "deep_tissue_injury")
WIDEST = {"stage_1": 3.2, "stage_2": 2.6, "stage_3": 4.2, "stage_4": 5.6, "unstageable": 4.2, "mucosal": 1.0}
# What is left of the area after a good week.
WEEKLY_HEALING = {"stage_1": 0.45, "stage_2": 0.66, "stage_3": 0.72, "stage_4": 0.80, "mucosal": 0.5}


@dataclass(frozen=True)
class Look:
    """What was seen of one wound on one day; lengths in cm."""

    day: date
    stage: str
    length: float
    width: float
    depth: float | None
    exudate: str
    tissue: str
    infected: bool
    is_closed: bool


@dataclass
class Wound:
    """One wound from its first look to its last."""

    injury_id: str
    location: str
    side: str
    cause: str
    opened: date
    is_device: bool
    present_on_admission: str
    looks: list[Look] = field(default_factory=list)

    @property
    def closed(self) -> date | None:
        return self.looks[-1].day if self.looks and self.looks[-1].is_closed else None

    def is_open(self, day: date) -> bool:
        return self.opened <= day and (self.closed is None or day < self.closed)

    def stage_on(self, day: date) -> str:
        seen = [look.stage for look in self.looks if look.day <= day]
        return seen[-1] if seen else self.looks[0].stage


def wounds_of(person: Person, body: Body, course: Course, *, calendar: Calendar, seed: int) -> list[Wound]:
    """All wounds of a person while with a team; the frailer, the more."""
    chance = stream(seed, person.client_id, "wounds")
    wounds: list[Wound] = []
    for stay in person.stays:
        day = max(stay.start, calendar.first - timedelta(days=60))
        brought = chance.random() < 0.06
        while day <= min(stay.end or calendar.last, calendar.last):
            risk = 0.0080 * 2.718 ** (4.2 * (course.on(day) - 0.33))
            if brought or chance.random() < risk:
                number = len(wounds) + 1
                wound = _onset(f"W-{person.client_id[2:]}-{number}", day, stay, body, chance)
                _play_out(wound, stay, calendar, chance)
                if wound.looks:
                    wounds.append(wound)
                    day = max(day, wound.looks[-1].day)
                brought = False
            day += timedelta(days=7)
    return wounds


def _onset(injury_id: str, day: date, stay: Stay, body: Body, chance: random.Random) -> Wound:
    weights = dict(LOCATIONS)
    if body.spinal_cord_injury:
        weights |= {"ischium": 40, "heel": 8}
    location = pick(chance, weights)
    side = "midline" if location in MIDLINE else chance.choice(("left", "right"))
    day += timedelta(days=chance.randrange(3))
    brought = (day - stay.start).days <= 3
    on_admission = "unknown" if chance.random() < 0.08 else "yes" if brought else "no"
    cause = pick(chance, {"pressure": 88, "moisture": 7, "skin_tear": 3, "not_settled": 2})
    if location in ("toe", "foot", "lower_leg") and chance.random() < 0.3:
        cause = "foot_or_leg_disease"
    device = location in DEVICES and cause == "pressure"
    return Wound(injury_id, location, side, cause, day, device, on_admission)


def _play_out(wound: Wound, stay: Stay, calendar: Calendar, chance: random.Random) -> None:
    """Looks about weekly until it closes, the person leaves or the scenario ends; now and then a look is missed."""
    stage = "mucosal" if wound.location == "mucosa" else pick(chance, STAGES)
    stage = stage if wound.cause == "pressure" else "not_staged"
    length = WIDEST.get(stage, 2.4) * chance.uniform(0.4, 1.0)
    area = length * length * chance.uniform(0.45, 0.95)
    worse_weeks = chance.randint(2, 6) if chance.random() < 0.14 else 0
    stalls = chance.random() < 0.10
    pace = chance.uniform(0.6, 1.5)
    day, ends = wound.opened, min(stay.end or calendar.last, calendar.last)
    infected_from = day + timedelta(days=chance.randint(5, 30)) if chance.random() < 0.06 else None
    start_area = area
    while day <= ends:
        is_closed = area < 0.12
        infected = infected_from is not None and 0 <= (day - infected_from).days <= 12
        wound.looks.append(_look(day, stage, area, start_area, is_closed, infected, chance))
        if is_closed:
            return
        gap = chance.randint(5, 8) if chance.random() < 0.88 else chance.randint(9, 19)
        weeks = gap / 7
        if worse_weeks > 0:
            area *= chance.uniform(1.03, 1.22) ** weeks
            worse_weeks -= 1
            stage = _deeper(stage, chance)
        elif stage in ("unstageable", "deep_tissue_injury"):
            stage, area = _resolve(stage, area, weeks, chance)
        else:
            left = WEEKLY_HEALING.get(stage, 0.7)
            area *= (1 - (1 - left) * pace * (0.12 if stalls else 1.0)) ** weeks
        start_area = max(start_area, area)
        day += timedelta(days=gap)


def _deeper(stage: str, chance: random.Random) -> str:
    following = {"stage_1": "stage_2", "stage_2": "stage_3", "stage_3": "stage_4", "deep_tissue_injury": "unstageable"}
    return following.get(stage, stage) if chance.random() < 0.2 else stage


def _resolve(stage: str, area: float, weeks: float, chance: random.Random) -> tuple[str, float]:
    """Deep-tissue injuries resolve or open; unstageable ones show their depth once the bed can be seen."""
    if stage == "deep_tissue_injury":
        if chance.random() < 0.12:
            return "unstageable", area
        return stage, area * 0.55**weeks
    if chance.random() < 0.22:
        return chance.choice(("stage_3", "stage_3", "stage_3", "stage_4")), area
    return stage, area * 0.92**weeks


def _look(
    day: date, stage: str, area: float, start_area: float, is_closed: bool, infected: bool, chance: random.Random
) -> Look:
    if is_closed:
        return Look(day, stage, 0.0, 0.0, None, "none", "closed", False, True)
    width = (area * chance.uniform(0.55, 0.95)) ** 0.5
    healed = 1 - area / start_area
    if stage in ("stage_1", "deep_tissue_injury"):
        tissue, exudate = "closed", "none"
    elif stage in ("stage_2", "mucosal", "not_staged"):
        tissue, exudate = "epithelial", chance.choice(("none", "light", "light"))
    elif stage == "unstageable":
        tissue, exudate = chance.choice(("necrotic", "slough", "slough")), chance.choice(("light", "moderate"))
    else:
        tissue = "slough" if healed < 0.25 else "granulation" if healed < 0.85 else "epithelial"
        exudate = "moderate" if healed < 0.3 else "light"
    if infected and exudate != "none":
        exudate = "heavy"
    depth = round(chance.uniform(0.3, 1.8) * (1 - 0.7 * healed), 1) if stage in ("stage_3", "stage_4") else None
    return Look(day, stage, round(area / width, 1), round(width, 1), depth, exudate, tissue, infected, False)
