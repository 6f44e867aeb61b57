"""What clinicians wrote back about findings: arranged, corrected, accepted for a while, does not apply, not reached."""

from datetime import date, timedelta

from pipeline.scenario.caseload import Person
from pipeline.scenario.records import Chart, moment, pick, stream
from pipeline.scenario.service import Calendar
from pipeline.scenario.surfaces import PUMP_FED, Supply
from pipeline.scenario.wounds import Wound

ROLES = {"occupational_therapist": 60, "nurse": 35, "physiotherapist": 5}


def write_responses(
    chart: Chart, person: Person, *, wounds: list[Wound], supplies: list[Supply], calendar: Calendar, seed: int
) -> None:
    """`actions` on what the course of this person would have raised: late looks, step-ups, power-cut plans."""
    chance = stream(seed, person.client_id, "responses")
    number = 0

    def write(rule: str, day: date, outcome: str, **ids: object) -> None:
        nonlocal number
        number += 1
        review = day + timedelta(days=28) if outcome == "accepted" else None
        if calendar.first < day <= calendar.last:
            chart.write("actions", f"N-{person.client_id[2:]}-{number:02d}", moment(day, chance, earliest=13), {
                "client_id": person.client_id, "rule": rule, **ids, "acted_on": day, "outcome": outcome,
                "review_on": review, "role": pick(chance, ROLES),
            })  # fmt: skip

    for wound in wounds:
        for before, after in zip(wound.looks, wound.looks[1:], strict=False):
            if (after.day - before.day).days > 11 and chance.random() < 0.5:
                outcome = pick(chance, {"corrected": 75, "not_reached": 15, "not_applicable": 10})
                write("wound_unmeasured", after.day, outcome, injury_id=wound.injury_id)
    for supply in supplies:
        is_for_wound = supply.requested and any(wound.is_open(supply.requested) for wound in wounds)
        if supply.requested and supply.position == "lying" and is_for_wound and chance.random() < 0.5:
            write("bed_review_overdue", supply.requested, "arranged")
        if supply.surface_class in PUMP_FED and supply.issued and chance.random() < 0.25:
            outcome = pick(chance, {"corrected": 40, "accepted": 40, "not_applicable": 20})
            day = supply.issued + timedelta(days=chance.randint(10, 60))
            if supply.returned is None or day < supply.returned:
                write("outage_plan_absent", day, outcome, loan_id=supply.loan_id)
