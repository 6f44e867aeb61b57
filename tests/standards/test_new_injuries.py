"""How new injuries are counted, from an export to the rates by month.

Sources: National Pressure Ulcer Advisory Panel, Pressure Ulcer Incidence Density as a Quality Measure (people with a
new injury for each 1,000 days, not wounds); wounds counted apart are our decision. New in the sense of the CMS quality
measures, items M0300B to G: more injuries of a stage than were there on arrival (from memory of the arithmetic).
"""

from decimal import Decimal

import pytest

# November: two people in a care home, who leave at its end. December: 32 people for 31 days and one for 8, 1,000 days.
STAYS = {"two-one-brought": ("2025-11-01", "2025-12-01"), "one-brought": ("2025-11-01", "2025-12-01")}
STAYS |= {f"december-{place}": ("2025-12-01", "") for place in range(32)} | {"leaves": ("2025-12-01", "2025-12-09")}
# Person, day, stage, and whether it was there on arrival.
WOUNDS = [
    ("two-one-brought", "2025-11-01", "stage_2", "yes"), ("two-one-brought", "2025-11-20", "stage_2", "no"),
    ("one-brought", "2025-11-01", "stage_2", "yes"),
    *(("december-0", "2025-12-15", "stage_2", "no") for _ in range(3)),
]  # fmt: skip


@pytest.fixture(scope="module")
def rates(take_in):
    """A function: numerator and rate of a measure in a month of 2025, for everybody."""
    stays = [
        {"placement_id": name, "client_id": name, "care_setting": "residential_care", "started_at": start,
         "ended_at": end, "end_reason": end and "transferred"}
        for name, (start, end) in STAYS.items()
    ]  # fmt: skip
    looks = [
        {"injury_observation_id": f"O-{place}", "injury_id": f"W-{place}", "client_id": name, "observed_at": day,
         "location": "sacrum", "stage": stage, "present_on_admission": answer}
        for place, (name, day, stage, answer) in enumerate(WOUNDS)
    ]  # fmt: skip
    people = {name: {"age_years": 79} for name in STAYS}
    answers = take_in(people=people, feeds={"placements": stays, "injuries": looks})
    sql = "SELECT numerator, rate FROM trends.rates WHERE is_total AND measure = ? AND month = CAST(? AS DATE)"

    def of(measure: str, month: int) -> tuple:
        return answers.ask(sql, measure, f"2025-{month}-01")[0]

    return of


def test_one_person_with_three_new_wounds_in_1000_days(rates):
    # NPUAP: one person is one, however many wounds; as wounds it is three.
    assert rates("new_injury_people", 12) == (1, Decimal("1"))
    assert rates("new_injuries", 12) == (3, Decimal("3"))


def test_only_what_was_not_there_on_arrival_arose_here(rates):
    # M0300B1 = 2 and M0300B2 = 1: new in one of the two people. M0300B1 = 1 and M0300B2 = 1: in nobody.
    assert rates("acquired_injury_people", 11)[0] == rates("acquired_injuries_stage_2", 11)[0] == 1
