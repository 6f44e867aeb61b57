"""Lying surfaces and seats: asked for, waited for, issued, outgrown, stepped up late or never, and returned."""

import random
from dataclasses import dataclass, field
from datetime import date, timedelta

from pipeline.scenario.caseload import Person, Stay
from pipeline.scenario.frailty import Body, Course, rung
from pipeline.scenario.records import pick, stream
from pipeline.scenario.service import Calendar
from pipeline.scenario.wounds import DEEP, Wound

# How far each class reaches (risk, injury) in the eyes of this invented service. It steers the scenario and is not
# the policy that judges it.
REACH = {
    "standard_mattress": (0, 0), "foam": (2, 1), "gel": (1, 1), "static_air": (3, 2), "hybrid_non_powered": (2, 2),
    "alternating_air_overlay": (2, 2), "alternating_air": (3, 3), "hybrid_powered": (3, 3), "low_air_loss": (3, 3),
    "air_fluidised": (3, 3),
}  # fmt: skip
PUMP_FED = ("alternating_air_overlay", "alternating_air", "hybrid_powered", "low_air_loss", "air_fluidised")
LYING_CHOICE = {
    0: {"standard_mattress": 62, "foam": 38},
    1: {"foam": 72, "hybrid_non_powered": 18, "alternating_air_overlay": 3, "static_air": 2, "gel": 5},
    2: {"foam": 58, "hybrid_non_powered": 28, "alternating_air_overlay": 5, "alternating_air": 5, "static_air": 4},
    3: {"alternating_air": 52, "hybrid_powered": 28, "static_air": 12, "low_air_loss": 8},
}
DEEP_CHOICE = {"alternating_air": 56, "hybrid_powered": 32, "low_air_loss": 12}
SEAT_CHOICE = {
    0: {"seat_only": 70, "cushion_foam": 30},
    1: {"cushion_foam": 70, "cushion_gel": 22, "cushion_air": 8},
    2: {"cushion_gel": 38, "cushion_air": 34, "cushion_hybrid": 22, "cushion_foam": 6},
    3: {"cushion_air": 52, "cushion_hybrid": 34, "cushion_gel": 12, "cushion_alternating": 2},
}
SEAT_REACH = {"seat_only": 0, "cushion_foam": 1, "cushion_gel": 3, "cushion_air": 3, "cushion_hybrid": 3,
              "cushion_alternating": 3}  # fmt: skip
OFF_THE_BED = ("heel", "toe", "foot", "ear", "nose", "face", "mucosa")
ON_THE_SEAT = ("ischium", "thigh", "coccyx", "buttock", "sacrum")
ON_THE_BED = ("sacrum", "coccyx", "buttock", "trochanter", "spine", "scapula", "elbow", "malleolus", "shoulder",
              "occiput", "knee", "lower_leg", "other", "not_recorded")  # fmt: skip


@dataclass
class Supply:
    """One surface for one person, from the need to the return; days are None until they come."""

    loan_id: str
    position: str
    surface_class: str
    owner: str
    stay: Stay
    stay_number: int
    needed: date
    requested: date | None
    issued: date | None
    returned: date | None = None
    end_reason: str | None = None
    visits: list[date] = field(default_factory=list)


def supplies_of(
    person: Person, body: Body, course: Course, wounds: list[Wound], *, calendar: Calendar, seed: int
) -> list[Supply]:
    """Everything the person lay and sat on, in order of need."""
    supplies: list[Supply] = []
    for position in ("lying", "sitting"):
        chance = stream(seed, person.client_id, position)
        if position == "lying" and chance.random() < 0.10:
            continue
        if position == "sitting" and chance.random() < 0.45:
            continue
        _supply(supplies, person, body, course, wounds, position=position, calendar=calendar, chance=chance)
    return sorted(supplies, key=lambda s: (s.needed, s.loan_id))


def wanted(body: Body, course: Course, wounds: list[Wound], day: date, position: str) -> tuple[int, int]:
    """Risk and injury rung (0 none, 1 superficial, 3 deep) that the position should carry on `day`."""
    loads = ON_THE_BED if position == "lying" else ON_THE_SEAT
    risk, injury = rung(body, course, day), 0
    for wound in wounds:
        if wound.is_open(day) and wound.location in loads and wound.cause == "pressure":
            injury = max(injury, 3 if wound.stage_on(day) in DEEP else 1)
    return max(risk, 2 if injury or body.spinal_cord_injury else 0), injury


def reaches(surface_class: str, position: str, need: tuple[int, int]) -> bool:
    """Does the class carry the need (risk and injury rung) in this position, as this service sees it?"""
    if position == "sitting":
        return SEAT_REACH[surface_class] >= max(need[0] - 1 if need[0] else 0, 2 if need[1] else 0)
    risk, injury = REACH[surface_class]
    return risk >= need[0] and injury >= need[1]


def choice(position: str, need: tuple[int, int], chance: random.Random) -> str:
    """A class that carries the need, by what this service mostly has."""
    if position == "sitting":
        return pick(chance, SEAT_CHOICE[max(need[0], 2 if need[1] else 0)])
    return pick(chance, DEEP_CHOICE if need[1] == 3 else LYING_CHOICE[need[0]])


def _supply(
    supplies: list[Supply], person: Person, body: Body, course: Course, wounds: list[Wound], *, position: str,
    calendar: Calendar, chance: random.Random,
) -> None:  # fmt: skip
    current: Supply | None = None
    waiting: Supply | None = None
    for number, stay in enumerate(person.stays, start=1):
        if current is not None and current.owner != "loan_service":
            current = None
        ends = min(stay.end or calendar.last, calendar.last)
        day = stay.start
        ignored_until = None
        while day <= ends:
            need = wanted(body, course, wounds, day, position)
            if waiting is not None and waiting.issued is not None and waiting.issued <= day:
                if current is not None:
                    current.returned = waiting.issued + timedelta(days=chance.randint(0, 2))
                    current.end_reason = "wound_worse" if need[1] else "no_longer_needed"
                current, waiting = waiting, None
            elif current is None and waiting is None:
                current = _start(supplies, person, stay, number, day, need, position, chance)
                if current.issued is None or current.issued > day:
                    current, waiting = None, current
            elif waiting is None and current is not None and not reaches(current.surface_class, position, need):
                if ignored_until is None and chance.random() < 0.10:
                    ignored_until = day + timedelta(days=120)
                if (ignored_until is None or day > ignored_until) and chance.random() < 0.6:
                    waiting = _ask(supplies, person, stay, number, day, need, position, chance)
                    ignored_until = None
            elif waiting is None and current is not None and need[1] == 0 and chance.random() < 0.04:
                lower = choice(position, need, chance)
                if lower != current.surface_class and reaches(lower, position, need):
                    waiting = _ask(supplies, person, stay, number, day, need, position, chance, lower)
            day += timedelta(days=7)
        current, waiting = _leave(stay, current, waiting, person, number, calendar, chance)


def _next_id(supplies: list[Supply], person: Person) -> str:
    return f"L-{person.client_id[2:]}-{len(supplies) + 1}"


def _start(
    supplies: list[Supply], person: Person, stay: Stay, number: int, day: date, need: tuple[int, int], position: str,
    chance: random.Random,
) -> Supply:  # fmt: skip
    """What the person comes onto: in a home or ward on the first day, in the community after a few days."""
    seen = need if chance.random() < 0.95 else (max(0, need[0] - 1), 0)
    surface_class = choice(position, seen, chance)
    owner = stay.team.owner
    if surface_class in ("standard_mattress", "seat_only") and owner == "loan_service":
        owner = "person"
    wait = 0 if owner != "loan_service" else chance.choice((0, 0, 1, 2, 3, 5, 8))
    supply = Supply(
        _next_id(supplies, person), position, surface_class, owner, stay, number, day,
        day if owner == "loan_service" else None, day + timedelta(days=wait),
    )  # fmt: skip
    supplies.append(supply)
    return supply


def _ask(
    supplies: list[Supply], person: Person, stay: Stay, number: int, day: date, need: tuple[int, int], position: str,
    chance: random.Random, surface_class: str | None = None,
) -> Supply:  # fmt: skip
    """A request, and the day it is met: within days when the wound is deep, else one to four weeks."""
    requested = day + timedelta(days=chance.randint(0, 4))
    wait = chance.randint(1, 5) if need[1] == 3 else min(40, max(1, round(chance.lognormvariate(2.0, 0.7))))
    owner = stay.team.owner if stay.team.owner != "loan_service" or chance.random() < 0.96 else "hire"
    supply = Supply(
        _next_id(supplies, person), position, surface_class or choice(position, need, chance), owner, stay, number,
        day, requested, requested + timedelta(days=wait),
    )  # fmt: skip
    supplies.append(supply)
    return supply


def _leave(
    stay: Stay, current: Supply | None, waiting: Supply | None, person: Person, number: int, calendar: Calendar,
    chance: random.Random,
) -> tuple[Supply | None, Supply | None]:  # fmt: skip
    """At the end of a stay: what belongs to the place stays there, what is on loan goes along or is collected."""
    if stay.end is None or stay.end > calendar.last:
        return current, waiting
    follows = number < len(person.stays)
    if waiting is not None:
        if waiting.issued is not None and waiting.issued > stay.end and not follows:
            waiting.issued = None
            waiting.returned = stay.end
            waiting.end_reason = "moved"
            waiting = None
        elif current is not None and waiting.issued is not None and waiting.issued <= stay.end:
            current.returned, current.end_reason = waiting.issued, "no_longer_needed"
            current, waiting = waiting, None
    if current is None or (follows and current.owner == "loan_service"):
        return current, waiting
    late = chance.random() < 0.06
    collected = stay.end + timedelta(days=chance.randint(20, 60) if late else chance.randint(0, 10))
    current.returned = collected if current.owner == "loan_service" else stay.end
    current.end_reason = {"died": "died", "transferred": "moved"}.get(stay.end_reason or "", "no_longer_needed")
    return None, waiting if follows else None
