"""The Braden scale, from an export to the warehouse.

Sources, named beside each fact: the openEHR archetype braden_scale.v1 (item ranges, bands, ages); AHRQ Comparative
Effectiveness Review 87, Chou and others 2013 (total 6 to 23); Hartford Institute, Try This no. 5, rev. 2007 (the bands
again); Bergstrom and Braden 2002, Nurs Res 51:398-403 (at risk from 18). Several teaching pages print "below 9" for
very high, which leaves 9 without a band: 9 or less is meant.
"""

from decimal import Decimal

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from pipeline.resources import policy_dir
from tests.standards.conftest import Form

ITEMS = ("sensory_perception", "moisture", "activity", "mobility", "nutrition", "friction_shear")
# openEHR archetype braden_scale.v1: friction and shear goes to 3, every other item to 4.
HIGHEST = (4, 4, 4, 4, 4, 3)
RANGE = range(6, 24)


def items_that_sum_to(total: int) -> tuple[int, ...]:
    """Six allowed item scores with that sum, filled from the first item on."""
    values, left = [], total - len(ITEMS)
    for highest in HIGHEST:
        step = min(highest - 1, left)
        values.append(1 + step)
        left -= step
    return tuple(values)


def published_band(total: int) -> str:
    # openEHR archetype braden_scale.v1, and Hartford Institute, Try This no. 5.
    if total >= 19:
        return "not_at_risk"
    if total >= 15:
        return "at_risk"
    if total >= 13:
        return "moderate"
    return "high" if total >= 10 else "very_high"


@pytest.fixture(scope="module")
def answers(take_in):
    form = Form("braden", ITEMS)
    for total in RANGE:
        form.score(f"T-{total}", *items_that_sum_to(total))
    form.score("best", 4, 4, 4, 4, 4, 3)
    form.score("worst", 1, 1, 1, 1, 1, 1)
    form.score("worked", 3, 3, 2, 3, 3, 2, recorded_total=16, recorded_band="at_risk")
    form.score("bedfast", 2, 1, 1, 1, 1, 1)
    form.score("misadded", 3, 3, 2, 3, 3, 2, recorded_total=17)
    form.score("sample-17", recorded_total=17)
    form.score("sample-11", recorded_total=11)
    form.score("total-5", recorded_total=5)
    form.score("total-24", recorded_total=24)
    for place, name in enumerate(ITEMS):
        form.score(f"blank-{name}", *(None if at == place else 3 for at in range(6)), recorded_total=16)
    form.score("child-4", 3, 3, 2, 3, 3, 2, client_id="C-4")
    form.score("child-5", 3, 3, 2, 3, 3, 2, client_id="C-5")
    form.score("infant", 3, 3, 2, 3, 3, 2, client_id="C-0")
    people = {
        "C-1": {"age_years": 79, "age_months": None},
        "C-4": {"age_years": 4, "age_months": 59},
        "C-5": {"age_years": 5, "age_months": None},
        "C-0": {"age_years": 0, "age_months": 3},
    }
    return take_in(form, people=people)


@pytest.fixture(scope="module")
def refusals(take_in):
    form = Form("braden", ITEMS)
    # openEHR archetype braden_scale.v1: no item has a 0 or a 5, and friction and shear has no 4.
    for place, name in enumerate(ITEMS):
        for value in (0, HIGHEST[place] + 1):
            form.score(f"{name}-{value}", *(value if at == place else 2 for at in range(6)))
    form.score("half", 2.5, 2, 2, 2, 2, 2)
    form.score("good", 2, 2, 2, 2, 2, 2)
    return take_in(form)


@pytest.mark.parametrize("total", RANGE)
def test_every_total_has_its_published_band(answers, total):
    # AHRQ Comparative Effectiveness Review 87: totals run from 6 to 23.
    score = answers.score(f"T-{total}")
    assert (score["recomputed_total"], score["recomputed_band"]) == (total, published_band(total))


def test_the_ends_of_the_scale(answers):
    # openEHR archetype braden_scale.v1.
    assert answers.score("best")["recomputed_total"] == 23
    assert answers.score("worst")["recomputed_total"] == 6
    bedfast = answers.score("bedfast")
    assert (bedfast["recomputed_total"], bedfast["recomputed_band"]) == (7, "very_high")


def test_a_worked_question(answers):
    # A worked question of a nursing-exam page, answer 16; the band is that of the archetype.
    score = answers.score("worked")
    assert (score["recomputed_total"], score["recomputed_band"]) == (16, "at_risk")
    assert score["total_agrees"] and score["band_agrees"] and score["suits_age"]


def test_a_stated_total_that_the_items_do_not_give(answers):
    # The items of the worked question stated as 17: one of the two is wrong, and both lie in one band.
    score = answers.score("misadded")
    assert score["total_agrees"] is False
    assert (score["recomputed_total"], score["band"], score["basis_of_band"]) == (16, "at_risk", "recomputed")


@pytest.mark.parametrize(("total", "band"), [(17, "at_risk"), (11, "high")])
def test_totals_of_the_published_samples(answers, total, band):
    # PACIO Sample Data Depot, Braden Observations of a synthetic patient: 17, and 11 later.
    score = answers.score(f"sample-{total}")
    assert (score["band"], score["basis_of_band"]) == (band, "recorded_unchecked")
    assert score["recomputed_total"] is None and score["total_agrees"] is None


@pytest.mark.parametrize("total", [5, 24])
def test_a_total_outside_the_scale_bands_nobody(answers, total):
    # AHRQ Comparative Effectiveness Review 87: 6 to 23. Held at the door or kept without a band, it never counts.
    score = answers.score(f"total-{total}")
    assert score is None or score["band"] is None


@pytest.mark.parametrize("name", ITEMS)
def test_a_partial_score_has_no_total_and_no_band(answers, name):
    # A partial sum is not a Braden score: the bands are published for six items. Our decision: the stated total bands
    # nobody either.
    score = answers.score(f"blank-{name}")
    assert answers.held(f"blank-{name}") == []
    assert score["missing_items"] == name and score["is_complete"] is False
    assert [score[key] for key in ("recomputed_total", "recomputed_band", "band", "risk_rung")] == [None] * 4


@pytest.mark.parametrize("name", ITEMS)
def test_items_outside_their_range_are_held(refusals, name):
    for value in (0, HIGHEST[ITEMS.index(name)] + 1):
        assert refusals.score(f"{name}-{value}") is None
        assert refusals.held(f"{name}-{value}") == [(name, "item_out_of_range")]


def test_half_points_are_held(refusals):
    # The scale's items are whole points (openEHR archetype braden_scale.v1: ordinals).
    assert refusals.score("half") is None
    assert [column for column, _ in refusals.held("half")] == ["sensory_perception"]
    assert refusals.score("good")["recomputed_total"] == Decimal(12)


@pytest.mark.parametrize(("who", "suits"), [("child-5", True), ("child-4", False), ("infant", False)])
def test_the_scale_is_for_adults_and_children_from_five(answers, who, suits):
    # openEHR archetype braden_scale.v1: from five years; younger children have instruments of their own.
    score = answers.score(who)
    assert score["suits_age"] is suits
    # The score is kept and shown all the same (our decision).
    assert score["recomputed_band"] == "at_risk"


@pytest.fixture(scope="module")
def judged(take_in):
    """A function: the need of somebody's bed by score and clinical judgement."""
    form = Form("braden", ITEMS)
    people, placements, told = {}, [], []
    for total, level in ((17, None), (17, "high"), (17, "very_high"), (9, "low"), (9, "at_risk"), (20, "at_risk")):
        name = f"{total}-{level}"
        people[name] = {"age_years": 79}
        placements.append(
            {"placement_id": name, "client_id": name, "care_setting": "community", "started_at": "2025-12-01"}
        )
        form.score(name, *items_that_sum_to(total), client_id=name, clinician_level=level)
        # What else could raise the need is known not to be so.
        told.append(
            {"circumstances_id": name, "client_id": name, "observed_on": "2026-01-02", "bed_mobility": "independent",
             "spinal_cord_injury": "false"}
        )
    look = {"injury_observation_id": "L-1", "injury_id": "W-1", "client_id": "9-low", "observed_at": "2026-01-02",
            "location": "heel", "side": "left", "stage": "stage_1"}  # fmt: skip
    feeds = {"placements": placements, "circumstances": told, "injuries": [look]}
    answers = take_in(form, people=people, feeds=feeds)
    found = answers.ask("SELECT client_id, need_level FROM fit.need WHERE position = 'lying'")
    return dict(found).get


@pytest.mark.parametrize(
    ("who", "need"),
    [
        # Hartford Institute, Try This no. 5: one band worse with major extra factors, so 17 becomes moderate, which
        # stands on the rung "high" with us. Who steps up says so as clinical judgement, which may raise and never lower
        # (our decision).
        ("17-None", "at_risk"), ("17-high", "high"), ("17-very_high", "very_high"),
        ("9-low", "very_high"), ("9-at_risk", "very_high"), ("20-at_risk", "at_risk"),
    ],
)  # fmt: skip
def test_a_step_up_raises_and_never_lowers(judged, who, need):
    assert judged(who) == need


HOME_CUT = """setting_bands = [
  { care_setting = "community", band = "at_risk", label = "at risk", from_total = 6, to_total = 19, risk_rung = 1, basis = "published", source = "s" },
  { care_setting = "community", band = "not_at_risk", label = "not at risk", from_total = 20, to_total = 23, risk_rung = 0, basis = "published", source = "s" },
]
"""  # noqa: E501


def test_a_cut_off_of_home_care_holds_at_home_alone(take_in):
    # Bergquist and Frantz 2001: at risk at 19 or less in home care; elsewhere 18 or less (openEHR braden_scale.v1).
    form = Form("braden", ITEMS)
    people, placements = {}, []
    for setting in ("community", "acute"):
        for total in (18, 19, 20):
            name = f"{setting}-{total}"
            people[name] = {"age_years": 79}
            placements.append(
                {"placement_id": name, "client_id": name, "care_setting": setting, "started_at": "2025-12-01"}
            )
            form.score(name, *items_that_sum_to(total), client_id=name)
    shipped = (policy_dir() / "scales" / "braden.toml").read_text("utf-8")
    ours = {"scales/braden.toml": shipped.replace("items = [", HOME_CUT + "items = [", 1)}
    answers = take_in(form, people=people, feeds={"placements": placements}, policy=ours)
    found = dict(answers.ask("SELECT client_id, risk_band FROM state.clients"))
    assert found == {
        "community-18": "at_risk", "community-19": "at_risk", "community-20": "not_at_risk",
        "acute-18": "at_risk", "acute-19": "not_at_risk", "acute-20": "not_at_risk",
    }  # fmt: skip
    # Who reads the band reads whose cut-offs gave it.
    for name, is_told in (("community-19", True), ("acute-19", False)):
        sheet = next(answers.root.glob(f"audits/*/*/clients/{name}.html")).read_text("utf-8")
        told = CliRunner().invoke(main, ["explain", name, "--workspace", str(answers.root)]).output
        assert ("own cut-offs for this setting" in sheet, "own cut-offs for this setting" in told) == (is_told, is_told)
    # What the scale itself says stays as it is.
    assert answers.score("community-19")["band"] == "not_at_risk"
