"""The Glamorgan scale for children, from an export to the warehouse.

Sources: Willock and others 2007, J Child Young People's Nurs 1:211-218 and Nursing Times 103(14), abstracts
(points, at risk from 10, birth to 18 years); the adapted form of the National Association of Tissue Viability Nurse
Specialists, version 8 (points; a blood value that is not known counts 0). From memory: 1 for inadequate nutrition,
high from 15, very high from 20.
"""

import itertools

import pytest

from tests.standards.conftest import Form

ONES = ("anaemia", "pyrexia", "poor_perfusion", "inadequate_nutrition", "low_albumin", "incontinence")
ITEMS = ("mobility", "equipment", *ONES)
# The adapted form: blood values may be unknown.
LABORATORY = ("anaemia", "low_albumin")
MOBILITY, EQUIPMENT = (0, 10, 15, 20), (0, 15)


def published_band(total: int) -> str:
    # From 10: Willock and others 2007. From 15 and from 20: from memory.
    return "very_high" if total >= 20 else "high" if total >= 15 else "at_risk" if total >= 10 else "not_at_risk"


@pytest.fixture(scope="module")
def answers(take_in):
    form = Form("glamorgan", ITEMS)
    for mobility, equipment, ones in itertools.product(MOBILITY, EQUIPMENT, range(7)):
        small = [1] * ones + [0] * (6 - ones)
        form.score(f"G-{mobility}-{equipment}-{ones}", mobility, equipment, *small)
    for place, item in enumerate(ITEMS):
        form.score(f"blank-{item}", *(None if at == place else 0 for at in range(8)))
    refused = Form("glamorgan", ITEMS)
    for place, (item, wrong) in enumerate(zip(ITEMS, (5, 10, *(2,) * 6), strict=True)):
        refused.score(f"wrong-{item}", *(wrong if at == place else 0 for at in range(8)))
    for years in (0, 17, 18, 19):
        form.score(f"age-{years}", *(0,) * 8, client_id=f"C-{years}")
    people = {f"C-{years}": {"age_years": years} for years in (0, 17, 18, 19)}
    return take_in(form, refused, people={"C-1": {"age_years": 7}} | people)


def test_every_combination_of_the_large_items(answers):
    # Willock and others 2007: mobility 0, 10, 15 or 20, equipment 15, the rest 1 each.
    for mobility, equipment, ones in itertools.product(MOBILITY, EQUIPMENT, range(7)):
        total = mobility + equipment + ones
        score = answers.score(f"G-{mobility}-{equipment}-{ones}")
        assert (score["recomputed_total"], score["recomputed_band"]) == (total, published_band(total))


def test_the_worked_totals(answers):
    # 20 + 15 + 1 = 36, very high; 10 is at risk (Willock and others 2007). Without the two large items 6 is the most.
    assert answers.score("G-20-15-1")["recomputed_total"] == 36
    assert answers.score("G-20-15-1")["band"] == "very_high"
    assert answers.score("G-10-0-0")["band"] == "at_risk"
    assert answers.score("G-0-0-6")["recomputed_total"] == 6
    assert answers.ask("SELECT count(*) FROM risk.scores WHERE recomputed_total BETWEEN 7 AND 9") == [(0,)]


@pytest.mark.parametrize("item", ITEMS)
def test_only_an_unknown_blood_value_may_be_blank(answers, item):
    # The adapted form, version 8: an unknown blood value counts 0.
    score = answers.score(f"blank-{item}")
    expected = (True, 0, None) if item in LABORATORY else (False, None, item)
    assert (score["is_complete"], score["recomputed_total"], score["missing_items"]) == expected


@pytest.mark.parametrize("item", ITEMS)
def test_points_that_the_scale_does_not_give_are_held(answers, item):
    # Willock and others 2007: nothing lies between 0 and 10 for mobility, or between 0 and 15 for equipment.
    assert answers.score(f"wrong-{item}") is None
    assert answers.held(f"wrong-{item}") == [(item, "item_out_of_range")]


def test_it_is_for_children(answers):
    # Willock and others 2007: birth to 18 years, the whole of that year by our decision.
    found = {years: answers.score(f"age-{years}")["suits_age"] for years in (0, 17, 18, 19)}
    assert found == {0: True, 17: True, 18: True, 19: False}
