"""The Waterlow score, revision of 2005, from an export to the warehouse.

Sources: the openEHR archetype waterlow_score.v0 (points, caps of neurological deficit at 6 and medication at 4,
bands) and NHS Fife's clinical template (points, bands). Broken skin is 3 on the card (a secondary page, and from
memory); the archetype says 2, which we read as its slip. Total 1 to 64 in AHRQ Comparative Effectiveness Review 87,
which groups that add up can exceed. The sums of the worked people were done by hand from those points.
"""

import pytest

from tests.standards.conftest import Form

SKIN = ("skin_tissue_paper", "skin_dry", "skin_oedematous", "skin_clammy", "skin_discoloured", "skin_broken")
TISSUE = (
    "cachexia", "multiple_organ_failure", "single_organ_failure", "peripheral_vascular_disease", "anaemia", "smoking",
)
NEURO = ("neuro_diabetes_ms_stroke", "neuro_motor_sensory", "neuro_paraplegia")
SURGERY = ("surgery_orthopaedic", "surgery_table_time")
DRUGS = ("cytotoxics", "steroids", "anti_inflammatories")
SINGLE = ("build", "sex", "age", "weight_loss", "appetite", "continence", "mobility")
ITEMS = (*SINGLE, *SKIN, *TISSUE, *NEURO, *SURGERY, *DRUGS)
# A man of 14 to 49 of average build and healthy skin with nothing else: 1 for his sex and 1 for his age.
NOTHING = dict.fromkeys(ITEMS, 0) | {"sex": 1, "age": 1}
# What each tick alone adds to him: openEHR archetype waterlow_score.v0, broken skin as on the card.
TICKS = {
    "skin_tissue_paper": 1, "skin_dry": 1, "skin_oedematous": 1, "skin_clammy": 1, "skin_discoloured": 2,
    "skin_broken": 3, "cachexia": 8, "multiple_organ_failure": 8, "single_organ_failure": 5,
    "peripheral_vascular_disease": 5, "anaemia": 2, "smoking": 1, "surgery_orthopaedic": 5, "cytotoxics": 4,
    "steroids": 4, "anti_inflammatories": 4,
}
# Highest points of the questions with one answer: openEHR archetype waterlow_score.v0.
HIGHEST = {"build": 3, "sex": 2, "age": 5, "weight_loss": 4, "appetite": 1, "continence": 3, "mobility": 5}
# Above or between what the card gives.
REFUSED = {
    **{item: high + 1 for item, high in HIGHEST.items()},
    **dict.fromkeys(TICKS, 2),
    **dict.fromkeys(NEURO, 3),
    "surgery_table_time": 6,
}
WORKED = {
    "young man": ({}, 2, "not_at_risk"),
    # Woman of 72, thin, dry skin, incontinent of urine, restricted, lost 4 kg, poor appetite, diabetes 4, steroids 4.
    "woman of 72": (
        {"sex": 2, "age": 3, "build": 3, "skin_dry": 1, "continence": 1, "mobility": 3, "weight_loss": 1, "appetite": 1,
         "neuro_diabetes_ms_stroke": 4, "steroids": 1}, 23, "very_high",
    ),
    # Man of 82, above average build, thin and swollen skin, catheter, chair-bound, vascular disease, smoker.
    "man of 82": (
        {"age": 5, "build": 1, "skin_tissue_paper": 1, "skin_oedematous": 1, "mobility": 5,
         "peripheral_vascular_disease": 1, "smoking": 1}, 20, "very_high",
    ),
    # The group of neurological deficit stops at 6, that of medication at 4.
    "two deficits": ({"neuro_diabetes_ms_stroke": 5, "neuro_motor_sensory": 4}, 8, "not_at_risk"),
    "three deficits": (dict.fromkeys(NEURO, 6), 8, "not_at_risk"),
    "one deficit": ({"neuro_paraplegia": 5}, 7, "not_at_risk"),
    "two drugs": ({"steroids": 1, "cytotoxics": 1}, 6, "not_at_risk"),
    # Below the waist and three hours on the table: 5 and 5; with seven hours 5 and 8.
    "three hours": ({"surgery_orthopaedic": 1, "surgery_table_time": 5}, 12, "at_risk"),
    "seven hours": ({"surgery_orthopaedic": 1, "surgery_table_time": 8}, 15, "high"),
    # 75 to 80 is 4, from 81 on 5: the age class is the form's, we take its points.
    "80": ({"age": 4}, 5, "not_at_risk"),
    "81": ({"age": 5}, 6, "not_at_risk"),
    "most": (
        dict.fromkeys(TICKS, 1) | HIGHEST | dict.fromkeys(NEURO, 6) | {"surgery_table_time": 8}, 84, "very_high",
    ),
    # Both sides of each edge: bands from 10, 15 and 20 (openEHR archetype waterlow_score.v0, NHS Fife's template).
    "9": ({"single_organ_failure": 1, "anaemia": 1}, 9, "not_at_risk"),
    "10": ({"cachexia": 1}, 10, "at_risk"),
    "14": ({"cachexia": 1, "steroids": 1}, 14, "at_risk"),
    "15": ({"cachexia": 1, "single_organ_failure": 1}, 15, "high"),
    "19": ({"cachexia": 1, "multiple_organ_failure": 1, "smoking": 1}, 19, "high"),
    "20": ({"cachexia": 1, "multiple_organ_failure": 1, "anaemia": 1}, 20, "very_high"),
}  # fmt: skip


def _values(changed: dict) -> list:
    return [(NOTHING | changed)[item] for item in ITEMS]


@pytest.fixture(scope="module")
def answers(take_in):
    form = Form("waterlow", ITEMS)
    for place, (changed, _, _) in enumerate(WORKED.values()):
        form.score(f"W-{place}", *_values(changed))
    for item in TICKS:
        form.score(f"tick-{item}", *_values({item: 1}))
    for item in ITEMS:
        form.score(f"blank-{item}", *_values({"cachexia": 1, item: None}), recorded_total=10)
    refused = Form("waterlow", ITEMS)
    for item, score in REFUSED.items():
        refused.score(f"refused-{item}", *_values({item: score}))
    form.score("child", *_values({"age": 0}), client_id="C-13")
    form.score("youth", *_values({}), client_id="C-14")
    form.score("unchecked", recorded_total=16)
    form.score("misadded", *_values({"skin_broken": 1, "steroids": 1}), recorded_total=10)
    people = {"C-1": {"age_years": 79}, "C-13": {"age_years": 13}, "C-14": {"age_years": 14}}
    return take_in(form, refused, people=people)


@pytest.mark.parametrize("place", range(len(WORKED)), ids=list(WORKED))
def test_worked_people(answers, place):
    # Points: openEHR archetype waterlow_score.v0 and NHS Fife's template; each sum done by hand.
    _, total, band = list(WORKED.values())[place]
    score = answers.score(f"W-{place}")
    assert (score["recomputed_total"], score["recomputed_band"]) == (total, band)


@pytest.mark.parametrize("item", TICKS)
def test_each_tick_is_worth_its_points(answers, item):
    # openEHR archetype waterlow_score.v0; broken skin 3 as on the card.
    assert answers.score(f"tick-{item}")["recomputed_total"] == 2 + TICKS[item]


@pytest.mark.parametrize("item", ITEMS)
def test_no_answer_may_be_missing(answers, item):
    # The bands are published for the whole card. Our decision: a box that the export leaves blank is not a "no".
    score = answers.score(f"blank-{item}")
    assert score["missing_items"] == item and score["is_complete"] is False
    assert [score[key] for key in ("recomputed_total", "recomputed_band", "band", "risk_rung")] == [None] * 4


@pytest.mark.parametrize("item", REFUSED)
def test_points_that_the_card_does_not_give_are_held(answers, item):
    # openEHR archetype waterlow_score.v0: a deficit is 0 or 4 to 6, time on the table 0, 5 or 8.
    assert answers.score(f"refused-{item}") is None
    assert answers.held(f"refused-{item}") == [(item, "item_out_of_range")]


def test_the_card_is_for_people_from_14(answers):
    # The youngest class of the card begins at 14; the archetype's 0 for younger people is kept and drives nothing.
    child, youth = answers.score("child"), answers.score("youth")
    assert (child["recomputed_total"], child["suits_age"]) == (1, False)
    assert (youth["recomputed_total"], youth["suits_age"]) == (2, True)


def test_a_total_alone_is_usable_and_says_so(answers):
    # 15 to 19 is high (openEHR archetype waterlow_score.v0).
    score = answers.score("unchecked")
    assert (score["band"], score["basis_of_band"], score["total_agrees"]) == ("high", "recorded_unchecked", None)


def test_the_worse_of_two_totals_drives_need(answers):
    # Stated 10, at risk; the ticks give 2 + 3 + 4 = 9, not at risk. Our decision: the worse counts until it is mended.
    score = answers.score("misadded")
    assert (score["recomputed_total"], score["recomputed_band"]) == (9, "not_at_risk")
    assert (score["band"], score["basis_of_band"], score["total_agrees"]) == ("at_risk", "worse_of_two", False)
