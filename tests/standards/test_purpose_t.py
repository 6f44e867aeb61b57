"""PURPOSE-T, which ends in a colour and never in a number, from an export to the warehouse.

Sources: University of Leeds, licensing page for PURPOSE-T, and NIHR Evidence alert: green without an injury and not
at risk, amber without an injury and at risk, red with an injury of category 1 or more or with a scar of one.
"""

import itertools

import pytest

from tests.standards.conftest import Form

ITEMS = ("pressure_injury", "injury_scar", "prevention_needed")
# Our three words for green, amber and red.
COLOURS = {"green": "not_at_risk", "amber": "at_risk", "red": "high"}


@pytest.fixture(scope="module")
def answers(take_in):
    form = Form("purpose_t", ITEMS)
    for injury, scar, risk in itertools.product((0, 1), repeat=3):
        form.score(f"{injury}{scar}{risk}", injury, scar, risk)
    for colour in COLOURS:
        form.score(colour, recorded_band=colour)
    for place, item in enumerate(ITEMS):
        form.score(f"blank-{item}", *(None if at == place else 0 for at in range(3)))
        form.score(f"wrong-{item}", *(2 if at == place else 0 for at in range(3)))
    form.score("number", recorded_total=2)
    form.score("seventeen", 0, 0, 0, client_id="C-17")
    return take_in(form, people={"C-1": {"age_years": 79}, "C-17": {"age_years": 17}})


def test_what_leads_to_each_colour(answers):
    # University of Leeds and NIHR Evidence alert, as above.
    for injury, scar, risk in itertools.product((0, 1), repeat=3):
        colour = "red" if injury or scar else "amber" if risk else "green"
        score = answers.score(f"{injury}{scar}{risk}")
        assert score["is_complete"] and score["recomputed_band"] == score["band"] == COLOURS[colour]


def test_a_scar_over_healthy_skin_is_red(answers):
    # University of Leeds: a scar of a past injury leads to the red pathway.
    assert answers.score("010")["band"] == COLOURS["red"]


def test_it_never_has_a_number(answers):
    # Our decision: a colour is not made into a number, and a number that is sent with it counts for nothing.
    assert answers.ask("SELECT count(*) FROM risk.scores WHERE recomputed_total IS NOT NULL OR total IS NOT NULL") == [
        (0,)
    ]
    assert answers.score("number")["band"] is None


@pytest.mark.parametrize("colour", COLOURS)
def test_a_colour_alone_is_usable_and_says_so(answers, colour):
    # An export that sends the outcome alone: recorded, unchecked.
    score = answers.score(colour)
    assert (score["band"], score["basis_of_band"]) == (COLOURS[colour], "recorded_unchecked")


@pytest.mark.parametrize("item", ITEMS)
def test_blank_and_impossible_answers(answers, item):
    # A blank answer is not a "no": green needs all three (our decision).
    blank = answers.score(f"blank-{item}")
    assert (blank["missing_items"], blank["is_complete"], blank["band"]) == (item, False, None)
    assert answers.held(f"wrong-{item}") == [(item, "item_out_of_range")]


def test_it_is_for_adults(answers):
    # From memory, not checked: made for adults.
    assert (answers.score("000")["suits_age"], answers.score("seventeen")["suits_age"]) == (True, False)
