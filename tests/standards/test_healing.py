"""How a wound heals, from an export to the warehouse: areas, margin advance, percent change and the two windows.

Percent change, ellipse and Ramanujan's second formula for its perimeter are standard formulas, from memory; Gilman's
margin advance (Gilman 1990, formula from memory; the idea in Edsberg, Wyffels and Ha 2011, OWM 57(10):50-62, abstract)
is the area lost divided by the mean perimeter. The figures of the ellipse were computed apart from this program.
"""

from decimal import Decimal

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from tests.standards.conftest import RECEIVED, Answers, write_csv

# Wound to its looks: day, length, width and whatever else was said.
WOUNDS = {
    "ellipse": [("2025-11-01", "4", "2", {}), ("2025-11-08", "3", "1.5", {})],
    "circle": [("2025-11-01", "4", "4", {}), ("2025-11-08", "3", "3", {})],
    # AHCPR 1994 in a clinical summary: some healing in two to four weeks. How much is common practice, no source.
    "heals": [("2025-11-01", "4", "2", {}), ("2025-11-15", "3", "2", {}), ("2025-11-29", "2", "2", {})],
    "stands-still": [("2025-11-01", "4", "2", {}), ("2025-11-15", "4", "2", {}), ("2025-11-29", "4", "2", {})],
    "slower": [("2025-11-01", "4", "2", {}), ("2025-11-15", "4", "2", {}), ("2025-11-29", "3.2", "2", {})],
    # Debridement makes a wound larger to make it heal: our decision.
    "debrided": [("2025-11-01", "4", "2", {}), ("2025-11-15", "5", "3", {"debrided_on": "2025-11-15"}),
                 ("2025-11-29", "4", "3", {})],
    "just-debrided": [("2025-11-15", "4", "2", {}), ("2025-11-29", "5", "3", {"debrided_on": "2025-11-29"})],
    "grew": [("2025-11-15", "4", "2", {}), ("2025-11-29", "5", "3", {})],
    "deepens": [("2025-11-01", "4", "2", {"stage": "stage_3"}), ("2025-11-08", "3", "2", {"stage": "stage_4"})],
    # NPUAP 2016: stable dry eschar of a heel is left in place.
    "heel-eschar": [(day, "4", "2", {"location": "heel", "stage": "unstageable", "tissue": "necrotic",
                                     "exudate": "none", "signs_of_infection": "false"})
                    for day in ("2025-11-01", "2025-11-15", "2025-11-29")],
}  # fmt: skip
TRENDS = {
    "heals": ["too_early", "better", "better"],
    "stands-still": ["too_early", "stalled", "stalled_long"],
    "slower": ["too_early", "stalled", "better"],
    "debrided": ["too_early", "too_early", "better"],
    "just-debrided": ["too_early", "too_early"],
    "grew": ["too_early", "worse"],
    "deepens": ["too_early", "worse"],
    "heel-eschar": ["too_early", "exempt", "exempt"],
}


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    root = tmp_path_factory.mktemp("healing") / "ws"
    assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
    write_csv(root / "inbox" / "clients.csv", [{"client_id": "C-1", "sex": "female", "age_years": 79}])
    said = {"client_id": "C-1", "location": "sacrum", "stage": "stage_3"}
    rows = [
        {"injury_observation_id": f"{wound}-{day}", "injury_id": wound, **said, "observed_at": day, "length_cm": length,
         "width_cm": width} | more
        for wound, looks in WOUNDS.items() for day, length, width, more in looks
    ]  # fmt: skip
    write_csv(root / "inbox" / "injuries.csv", rows)
    foam = {"loan_id": "L-1", "client_id": "C-1", "position": "lying", "surface_class": "foam"}
    write_csv(root / "inbox" / "loans.csv", [foam | {"issued_on": "2025-10-01"}])
    result = CliRunner().invoke(main, ["run", "--workspace", str(root), "--received-at", RECEIVED])
    assert result.exit_code == 0, result.output
    return Answers(root)


def test_ellipse_and_rectangle_are_named(answers):
    found = answers.ask(
        "SELECT area_cm2, ellipse_area_cm2, ellipse_perimeter_cm FROM wounds.healing WHERE injury_id = 'ellipse'"
        " ORDER BY look"
    )
    assert found == [tuple(map(Decimal, row)) for row in (("8", "6.2832", "9.6884"), ("4.5", "3.5343", "7.2663"))]


def test_margin_advance_of_the_ellipse(answers):
    found = answers.ask(
        "SELECT margin_advance_cm, margin_advance_cm_a_week FROM wounds.healing"
        " WHERE injury_id = 'ellipse' AND look = 2"
    )
    assert found == [(Decimal("0.3243"), Decimal("0.3243"))]


def test_the_margin_of_a_circle_moves_by_the_change_of_its_radius(answers):
    # An identity of geometry: the area lost, pi (R2 - r2), over the mean perimeter, pi (R + r), is R - r.
    found = answers.ask("SELECT margin_advance_cm FROM wounds.healing WHERE injury_id = 'circle' AND look = 2")
    assert found == [(Decimal("0.5"),)]


@pytest.mark.parametrize("wound", TRENDS)
def test_trend_over_both_windows(answers, wound):
    found = answers.ask("SELECT trend FROM wounds.course WHERE injury_id = ? ORDER BY look", wound)
    assert [row[0] for row in found] == TRENDS[wound]


@pytest.mark.parametrize("wound", TRENDS)
def test_what_the_rules_read_is_the_trend_of_the_newest_look(answers, wound):
    # So that a debrided wound which shrinks since is worse nowhere: our decision.
    for relation in ("wounds.open", "state.injuries"):
        assert answers.ask(f"SELECT trend FROM {relation} WHERE injury_id = ?", wound) == [(TRENDS[wound][-1],)]


def test_a_wound_that_was_made_larger_is_not_called_worse(answers):
    found = answers.ask("SELECT injury_id FROM audit.raised WHERE rule = 'worse_on_surface' ORDER BY injury_id")
    assert found == [("deepens",), ("grew",)]
