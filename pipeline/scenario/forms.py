"""The circumstances form: what was asked about body, bed, seat, comfort, power and fire. A blank was not asked."""

import random
from collections.abc import Mapping
from datetime import date, timedelta

from pipeline.scenario.caseload import Person, Stay
from pipeline.scenario.frailty import Body, Course, rung, true_items
from pipeline.scenario.records import Chart, entered, moment, pick, stream
from pipeline.scenario.service import Calendar
from pipeline.scenario.surfaces import PUMP_FED, Supply
from pipeline.scenario.wounds import DEEP, Wound

# What every form asks; the rest stands on the long form, which comes on arrival and about every third time.
SHORT = ("weight_kg", "transfers", "bed_mobility", "hours_in_bed", "hours_seated", "longest_sit_min", "moisture",
         "heel_offloading", "skin_checked_on", "skin_found", "continence", "turning_interval_h", "nutrition_impaired",
         "cannot_keep_off_injury", "fell_on", "acute_illness_on")  # fmt: skip
FORM_DAYS = {"community": (42, 75), "residential_care": (28, 45), "rehabilitation": (7, 14)}
DISCOMFORTS = ("heat_discomfort", "cold_discomfort", "noise_discomfort", "motion_discomfort")


def write_forms(
    chart: Chart, person: Person, body: Body, course: Course, *, wounds: list[Wound], supplies: list[Supply],
    calendar: Calendar, seed: int,
) -> None:  # fmt: skip
    """One `circumstances` record for each visit at which the form was filled in."""
    chance = stream(seed, person.client_id, "forms")
    home = _home(body, chance)
    number = 0
    for stay in person.stays:
        day = max(stay.start + timedelta(days=chance.randint(0, 3)), calendar.first - timedelta(days=90))
        ends = min(stay.end or calendar.last, calendar.last)
        is_first = True
        while day <= ends:
            number += 1
            pumped = any(
                s.surface_class in PUMP_FED and s.issued and s.issued <= day and (not s.returned or day < s.returned)
                for s in supplies
            )
            asked = _today(person, body, course, wounds, stay=stay, day=day, chance=chance)
            asked |= _about_home(home, pumped=pumped, stay=stay, day=day, chance=chance)
            keep = _asked(asked, is_long=is_first or chance.random() < 0.35, chance=chance)
            record_id = f"F-{person.client_id[2:]}-{number:03d}"
            known_at = entered(moment(day, chance), chance)
            chart.write("circumstances", record_id, known_at, {
                "client_id": person.client_id, "observed_on": day, **keep,
            })  # fmt: skip
            day += timedelta(days=chance.randint(*FORM_DAYS[stay.team.care_setting]))
            is_first = False


def _asked(facts: Mapping[str, object], *, is_long: bool, chance: random.Random) -> dict[str, object]:
    """The long form leaves one question in twelve open, the short one asks little else than the basics."""
    return {
        name: value
        for name, value in facts.items()
        if value is not None and chance.random() < (0.92 if is_long else 0.88 if name in SHORT else 0.03)
    }


def _home(body: Body, chance: random.Random) -> dict[str, object]:
    """Facts of the person's home and habits that hardly change."""
    smoking = pick(chance, {"no": 900, "supervised": 70, "unsupervised": 25, "in_bed": 5})
    has_rails = chance.random() < 0.2
    return {
        "smoking": smoking,
        "has_fire_plan": chance.random() < 0.9,
        "naked_flame": chance.random() < 0.004,
        "uses_emollient": chance.random() < 0.3 and smoking == "no",
        "home_oxygen": body.lung_disease and chance.random() < 0.15 and smoking == "no",
        "electric_blanket": False,
        "power_reliable": chance.random() < 0.985,
        "has_outage_plan": chance.random() < 0.8,
        "for_resuscitation": chance.random() < 0.35,
        "carers_know_deflate": chance.random() < 0.9,
        "has_rails": has_rails,
        "rail_top": chance.randint(225, 270),
        "rail_inside": chance.randint(50, 110),
        "rail_end": chance.randint(15, 50),
        "confused_or_restless": chance.random() < 0.14 and not has_rails,
        "frame": chance.choice((180, 200, 220)) if body.weight_kg < 140 else 300,
        "bed_width": 90 if body.weight_kg / (body.height_cm / 100) ** 2 < 34 else 106,
        "palliative": chance.random() < 0.07,
        "progressive": chance.random() < 0.15,
        "asymmetry": chance.random() < (0.3 if body.spinal_cord_injury else 0.07),
    }


def _about_home(
    home: Mapping[str, object], *, pumped: bool, stay: Stay, day: date, chance: random.Random
) -> dict[str, object]:
    smokes = home["smoking"] != "no"
    rails = bool(home["has_rails"])
    facts: dict[str, object] = {name: chance.random() < 0.025 for name in DISCOMFORTS}
    return facts | {
        "unstable_spine": False,
        "traction": False,
        "smoking": home["smoking"],
        "naked_flame": home["naked_flame"],
        "uses_emollient": home["uses_emollient"],
        "home_oxygen": home["home_oxygen"],
        "electric_blanket": home["electric_blanket"],
        "fire_plan_on": day - timedelta(days=chance.randint(0, 90)) if smokes and home["has_fire_plan"] else None,
        "power_reliable": home["power_reliable"],
        "outage_plan": home["has_outage_plan"] if pumped else None,
        "for_resuscitation": home["for_resuscitation"],
        "carers_know_deflate": home["carers_know_deflate"] if pumped else None,
        "bed_rails": rails,
        "rail_top_above_surface_mm": home["rail_top"] if rails else None,
        "rail_gap_inside_mm": home["rail_inside"] if rails else None,
        "rail_gap_end_mm": home["rail_end"] if rails else None,
        "rails_checked_on": day if rails else None,
        "confused_or_restless": home["confused_or_restless"],
        "bed_frame_max_kg": home["frame"],
        "bed_width_cm": home["bed_width"],
        "palliative": home["palliative"],
        "comfort_first": bool(home["palliative"]) and chance.random() < 0.3,
        "goals_reviewed_on": day - timedelta(days=chance.randint(0, 25)) if home["palliative"] else None,
        "progressive_condition": home["progressive"],
        "posture_asymmetry": home["asymmetry"],
        "posture_reviewed_on": day - timedelta(days=chance.randint(5, 200)) if home["asymmetry"] else None,
        "rehab_goal_mobility": stay.team.care_setting == "rehabilitation" or chance.random() < 0.05,
    }


def _today(
    person: Person, body: Body, course: Course, wounds: list[Wound], *, stay: Stay, day: date, chance: random.Random
) -> dict[str, object]:
    """What follows from how frail the person is today, and from what the skin looks like."""
    risk = rung(body, course, day)
    here = [wound for wound in wounds if wound.is_open(day)]
    facts = _about_moving(body, risk, stay=stay, chance=chance)
    facts |= _about_sitting(risk, here, day=day, chance=chance)
    facts |= _about_skin(body, course, here, risk, day=day, chance=chance)
    facts |= _about_illness(body, course, day=day, chance=chance)
    if stay.team.care_setting == "rehabilitation":
        facts["surgery_on"] = stay.start - timedelta(days=6)
    if chance.random() < 0.02:
        facts |= {
            "declined_what": chance.choice(("heel", "turning", "sitting", "heel;turning")),
            "declined_on": day,
            "decline_recorded_fully": chance.random() < 0.85,
            "decline_review_on": day + timedelta(days=60),
        }
    return facts


def _about_moving(body: Body, risk: int, *, stay: Stay, chance: random.Random) -> dict[str, object]:
    transfers = (("independent",), ("independent", "standby"), ("assisted",), ("hoisted",))[risk]
    in_bed = (("independent",), ("limited",), ("limited", "needs_help"), ("immobile",))[risk]
    return {
        "weight_kg": round(body.weight_kg * chance.uniform(0.985, 1.015), 1),
        "height_cm": body.height_cm,
        "hip_width_cm": round(body.weight_kg * 0.2 + 25),
        "transfers": chance.choice(transfers),
        "bed_mobility": chance.choice(in_bed),
        "can_be_turned_by_carer": stay.team.care_setting != "community" or chance.random() < 0.9,
        "hours_in_bed": chance.randint(*((8, 10), (9, 12), (11, 15), (18, 23))[risk]),
        "turning_interval_h": (None, 6, 4, chance.choice((2, 3, 4)))[risk],
        "head_of_bed_deg": chance.choice((10, 20, 30)),
        "head_up_reason": False,
        "linen_layers": chance.choice((1, 1, 2)),
        "plastic_backed_pad": False,
        "sling_left_under": chance.random() < 0.012 if risk == 3 else False,
        "sits_up_in_bed_min": chance.choice((10, 15, 20)),
    }


def _about_sitting(risk: int, here: list[Wound], *, day: date, chance: random.Random) -> dict[str, object]:
    is_sore = any(wound.location in ("ischium", "coccyx", "sacrum", "buttock") for wound in here)
    seated = chance.choice(((5, 7, 9), (4, 6, 8), (3, 4, 6), (0, 0, 2, 3))[risk])
    return {
        "can_shift_weight_seated": risk < 2 or (risk == 2 and chance.random() < 0.75),
        "hours_seated": seated,
        "longest_sit_min": min(60 * seated, chance.choice((45, 60) if is_sore else (60, 90, 120))),
        "commode_min": chance.choice((0, 5, 10)),
        "sleeps_in_chair": chance.random() < 0.012,
        "seat_tilts": risk >= 2 and chance.random() < 0.8,
        "ring_device": chance.random() < 0.003,
        "turning_plan_on": day - timedelta(days=chance.randint(0, 60)) if risk >= 2 else None,
        "seating_plan_on": day - timedelta(days=chance.randint(0, 20)) if is_sore and chance.random() < 0.95 else None,
    }


def _about_skin(
    body: Body, course: Course, here: list[Wound], risk: int, *, day: date, chance: random.Random
) -> dict[str, object]:
    items = true_items(body, course, day, "braden")
    heels = [wound.stage_on(day) for wound in here if wound.location == "heel"]
    support = "none"
    if any(stage in DEEP for stage in heels):
        support = "device"
    elif heels or risk >= 2:
        support = chance.choice(("pillow", "device"))
    return {
        "moisture": ("constant", "often", "occasional", "dry")[items["moisture"] - 1],
        "continence": ("both", "urine", "urine", "continent")[items["moisture"] - 1],
        "nutrition_impaired": items["nutrition"] <= 2,
        "sensation_impaired": items["sensory_perception"] <= 2,
        "skin_checked_on": day,
        "skin_found": "injury" if here else chance.choices(("intact", "redness"), weights=(92, 8))[0],
        "heel_offloading": support,
        "cannot_keep_off_injury": (chance.random() < 0.04) if here else None,
    }


def _about_illness(body: Body, course: Course, *, day: date, chance: random.Random) -> dict[str, object]:
    ill = [found for found in course.ill_on if day - timedelta(days=21) <= found <= day]
    return {
        "spinal_cord_injury": body.spinal_cord_injury,
        "diabetes": body.diabetes,
        "peripheral_arterial_disease": body.arterial_disease,
        "lung_disease": body.lung_disease,
        "fluid_balance_risk": chance.random() < 0.04,
        "acute_illness_on": ill[-1] if ill else None,
        "fell_on": day - timedelta(days=chance.randint(1, 20)) if chance.random() < 0.025 else None,
    }
