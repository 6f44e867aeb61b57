"""The interRAI Pressure Ulcer Risk Scale, from an export to the warehouse.

Sources: RNAO best practice page on the scale and Poss and others 2010, BMC Geriatr 10:67 (seven items, a past
injury counts 2); the highest total of 8 follows. The bands 0, 1-2, 3, 4-5 and 6-8 are from memory; that the two
lowest are one band of ours is our decision.
"""

import itertools

import pytest

from tests.standards.conftest import Form

ITEMS = (
    "bed_mobility", "walking", "bowel_incontinence", "weight_loss", "injury_history", "daily_pain", "breathlessness",
)
# RNAO best practice page: a past injury is the one item of 2.
WORTH = (1, 1, 1, 1, 2, 1, 1)
COMBINATIONS = list(itertools.product((0, 1), repeat=7))


@pytest.fixture(scope="module")
def answers(take_in):
    form, refused = Form("interrai_purs", ITEMS), Form("interrai_purs", ITEMS)
    for place, ticks in enumerate(COMBINATIONS):
        form.score(f"P-{place}", *(tick * worth for tick, worth in zip(ticks, WORTH, strict=True)))
    for place, item in enumerate(ITEMS):
        form.score(f"blank-{item}", *(None if at == place else 0 for at in range(7)))
        wrong = 1 if item == "injury_history" else 2
        refused.score(f"wrong-{item}", *(wrong if at == place else 0 for at in range(7)))
    form.score("seventeen", *(0,) * 7, client_id="C-17")
    return take_in(form, refused, people={"C-1": {"age_years": 79}, "C-17": {"age_years": 17}})


def test_every_combination(answers):
    # Points: RNAO best practice page, Poss and others 2010. Bands: from memory.
    for place, ticks in enumerate(COMBINATIONS):
        total = sum(tick * worth for tick, worth in zip(ticks, WORTH, strict=True))
        band = "very_high" if total >= 6 else "high" if total >= 4 else "at_risk" if total == 3 else "not_at_risk"
        score = answers.score(f"P-{place}")
        assert (score["recomputed_total"], score["recomputed_band"]) == (total, band)


def test_all_present_and_only_the_past_injury(answers):
    # All present 8, only the past injury 2: Poss and others 2010.
    assert answers.score(f"P-{len(COMBINATIONS) - 1}")["recomputed_total"] == 8
    only = COMBINATIONS.index((0, 0, 0, 0, 1, 0, 0))
    assert answers.score(f"P-{only}")["recomputed_total"] == 2


@pytest.mark.parametrize("item", ITEMS)
def test_blank_and_impossible_answers(answers, item):
    # RNAO best practice page: each item is there or not, and a past injury is 0 or 2.
    blank = answers.score(f"blank-{item}")
    assert (blank["missing_items"], blank["recomputed_total"], blank["band"]) == (item, None, None)
    assert answers.held(f"wrong-{item}") == [(item, "item_out_of_range")]


def test_it_is_for_adults(answers):
    # Common practice, no source.
    assert (answers.score("P-0")["suits_age"], answers.score("seventeen")["suits_age"]) == (True, False)
