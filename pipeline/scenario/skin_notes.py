"""Writes the looks at wounds down as the record system would send them."""

import random
from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal

from pipeline.scenario.caseload import Person
from pipeline.scenario.records import Chart, Fault, entered, moment, stream
from pipeline.scenario.wounds import DEVICES, Look, Wound

EXUDATE = {"none": 0, "light": 1, "moderate": 2, "heavy": 3}
TISSUE = {"closed": 0, "epithelial": 1, "granulation": 2, "slough": 3, "necrotic": 4}
# Upper ends of the published PUSH 3.0 area bins in cm2; areas are rounded to one decimal first.
PUSH_BINS = ("0.0", "0.29", "0.6", "1.0", "2.0", "3.0", "4.0", "8.0", "12.0", "24.0")


def push_total(look: Look) -> int:
    """PUSH 3.0 as a careful nurse would add it up: area bin, exudate, tissue."""
    area = Decimal(str(look.length)) * Decimal(str(look.width))
    if area >= Decimal("0.3"):
        area = area.quantize(Decimal("0.1"), ROUND_HALF_UP)
    return sum(area > Decimal(top) for top in PUSH_BINS) + EXUDATE[look.exudate] + TISSUE[look.tissue]


def write_wounds(chart: Chart, person: Person, wounds: list[Wound], *, seed: int) -> None:
    """One `injuries` record for each look, a PUSH total for most of them, wrong now and then."""
    chance = stream(seed, person.client_id, "skin notes")
    for wound in wounds:
        for number, look in enumerate(wound.looks, start=1):
            _write_look(chart, person, wound, look, number=number, chance=chance)


def _write_look(chart: Chart, person: Person, wound: Wound, look: Look, *, number: int, chance: random.Random) -> None:
    at = moment(look.day, chance)
    stay = person.stay_on(look.day)
    days_only = stay is not None and stay.team.days_only
    record_id = f"{wound.injury_id}-{number:02d}"
    measured = look.is_closed or chance.random() < 0.93
    counted = measured and wound.cause == "pressure" and chance.random() < 0.6
    total = push_total(look) if counted else None
    known_at = entered(at, chance)
    if total is not None and chance.random() < 0.02:
        total = max(0, total - 1) if total > 3 else total + 1
        chart.faults.append(
            Fault("push total added up wrongly", "injuries", record_id, person.client_id, known_at,
                  "score", "push_total_differs")
        )  # fmt: skip
    chart.write("injuries", record_id, known_at, {
        "injury_id": wound.injury_id,
        "client_id": person.client_id,
        "observed_at": look.day if days_only else at,
        "location": wound.location,
        "side": wound.side,
        "stage": look.stage,
        "cause": wound.cause if wound.cause != "pressure" or chance.random() < 0.3 else None,
        "present_on_admission": wound.present_on_admission,
        "first_noticed_on": wound.opened - timedelta(days=number % 2) if number == 1 else None,
        "device_related": True if wound.is_device else None,
        "device_kind": DEVICES.get(wound.location) if wound.is_device else None,
        "length_cm": look.length if measured else None,
        "width_cm": look.width if measured else None,
        "depth_cm": look.depth if measured else None,
        "exudate": look.exudate if measured else None,
        "tissue": look.tissue if measured else None,
        "recorded_push_total": total,
        "signs_of_infection": look.infected if chance.random() < 0.75 or look.infected else None,
        "status": "closed" if look.is_closed else "open",
    })  # fmt: skip
