"""Writes surfaces down as the loan system would send them: requested, issued, seen on visits, serviced, returned."""

import random
from datetime import date, timedelta

from pipeline.scenario.caseload import Person
from pipeline.scenario.frailty import Body
from pipeline.scenario.records import Chart, moment, stream
from pipeline.scenario.registers import placement_id
from pipeline.scenario.service import Calendar
from pipeline.scenario.surfaces import PUMP_FED, Supply

HAND_CHECKED = ("foam", "static_air", "cushion_foam", "cushion_air", "alternating_air_overlay")
# Days between two visits at which somebody writes down what state the surface is in.
VISIT_DAYS = {"community": (28, 56), "residential_care": (28, 49), "rehabilitation": (6, 9)}


def write_supplies(
    chart: Chart, person: Person, body: Body, supplies: list[Supply], *, calendar: Calendar, seed: int
) -> None:
    """A version for each thing that happens to a surface."""
    for supply in supplies:
        chance = stream(seed, supply.loan_id)
        cells = _item(person, body, supply, chance)
        if supply.requested and (supply.issued is None or supply.issued > supply.requested):
            cells["loan_status"] = "requested"
            chart.write("loans", supply.loan_id, moment(supply.requested, chance, latest=12), cells)
        if supply.issued is None:
            if supply.returned is not None:
                cells["loan_status"] = "cancelled"
                chart.write("loans", supply.loan_id, moment(supply.returned, chance), cells)
            continue
        cells |= _on_issue(body, supply, chance)
        chart.write("loans", supply.loan_id, moment(supply.issued, chance, earliest=13), cells)
        _visits(chart, supply, body, cells, calendar=calendar, chance=chance)
        if supply.returned is not None:
            cells |= {"returned_on": supply.returned, "loan_status": "returned", "end_reason": supply.end_reason}
            if supply.returned >= supply.issued:
                chart.write("loans", supply.loan_id, moment(supply.returned + timedelta(days=1), chance), cells)


def _item(person: Person, body: Body, supply: Supply, chance: random.Random) -> dict[str, object]:
    """What is known of the item before it is there."""
    is_lying = supply.position == "lying"
    in_house = supply.owner in ("care_home", "hospital")
    heavy = body.weight_kg > 105
    return {
        "device_id": f"D{chance.randint(1000, 9999)}" if supply.owner != "person" and chance.random() < 0.8 else None,
        "client_id": person.client_id,
        "position": supply.position,
        "surface_class": supply.surface_class,
        "is_overlay": True if supply.surface_class == "alternating_air_overlay" else False if is_lying else None,
        "placement_id": placement_id(person, supply.stay_number) if in_house else None,
        "owner": supply.owner,
        "need_identified_on": supply.needed if supply.requested else None,
        "requested_on": supply.requested,
        "max_user_kg": (250 if heavy else chance.choice((150, 165, 180))) if supply.owner != "person" else None,
        "width_cm": chance.choice((88, 90)) if is_lying else chance.choice((42, 45, 48)),
    }


def _on_issue(body: Body, supply: Supply, chance: random.Random) -> dict[str, object]:
    issued = supply.issued
    assert issued is not None
    is_powered = supply.surface_class in PUMP_FED or supply.surface_class == "cushion_alternating"
    ours = supply.owner in ("loan_service", "hire")
    cells: dict[str, object] = {
        "loan_status": "issued",
        "issued_on": issued,
        "made_on": issued - timedelta(days=chance.randint(60, 1000)) if supply.owner != "person" else None,
        "inspected_on": issued - timedelta(days=chance.randint(0, 20)) if ours else None,
        "justification_recorded": chance.random() < 0.93 if is_powered else None,
    }
    if is_powered:
        cells |= {
            "serviced_on": issued - timedelta(days=chance.randint(0, 120)),
            "electrical_test_on": issued - timedelta(days=chance.randint(0, 120)),
            "trial_started_on": issued,
        }
    return cells


def _visits(
    chart: Chart, supply: Supply, body: Body, cells: dict[str, object], *, calendar: Calendar, chance: random.Random
) -> None:
    """Skin check soon after issue, then visits; each writes what was seen that day, blanks stay blanks."""
    assert supply.issued is not None
    ends = min(supply.returned or calendar.last, calendar.last)
    day = supply.issued + timedelta(days=chance.choice((1, 1, 1, 2, 2, 3)))
    low, high = VISIT_DAYS[supply.stay.team.care_setting]
    is_first = True
    while day < ends:
        if day >= calendar.first or is_first:
            cells |= _seen(supply, body, cells, day, is_first=is_first, chance=chance)
            chart.write("loans", supply.loan_id, moment(day, chance), cells)
        is_trial = is_first and "trial_started_on" in cells
        day += timedelta(days=chance.randint(9, 13) if is_trial else chance.randint(low, high))
        is_first = False


def _seen(
    supply: Supply, body: Body, cells: dict[str, object], day: date, *, is_first: bool, chance: random.Random
) -> dict[str, object]:
    is_pump_fed = supply.surface_class in PUMP_FED
    seen: dict[str, object] = {
        "state_seen_on": day,
        "in_use": chance.random() < 0.99,
        "cover_condition": "sound" if chance.random() < 0.985 else "damaged",
        "fitted_correctly": True if chance.random() < 0.98 else None,
    }
    if is_first:
        seen["skin_checked_on"] = day if chance.random() < 0.93 else None
    elif chance.random() < 0.95:
        seen["reviewed_on"] = day
    if chance.random() < 0.7:
        seen["cover_opened_on"] = day
    if "trial_started_on" in cells and not is_first and "trial_outcome" not in cells and chance.random() < 0.95:
        seen |= {"trial_reviewed_on": day, "trial_outcome": "keep"}
    if supply.surface_class in HAND_CHECKED and chance.random() < 0.7:
        seen |= {"bottoming_check": "pass", "bottoming_method": "hand", "bottoming_checked_on": day}
    if supply.surface_class in ("gel", "cushion_gel"):
        seen["leak_seen"] = False
    if is_pump_fed:
        seen |= {
            "mode": "alternating" if supply.surface_class != "low_air_loss" else "static",
            "mode_hours": chance.randint(24, 600),
            "cycle_minutes": chance.choice((10, 10, 12, 15)) if chance.random() < 0.9 else None,
            "pump_state": "running",
            "setting": round(body.weight_kg + chance.uniform(-5, 5)) if chance.random() < 0.85 else None,
            "setting_kind": "kg",
            "power_leads_safe": True if chance.random() < 0.97 else None,
        }
        serviced = cells.get("serviced_on")
        if isinstance(serviced, date) and (day - serviced).days > 330 and chance.random() < 0.8:
            seen |= {"serviced_on": day, "electrical_test_on": day}
    return seen
