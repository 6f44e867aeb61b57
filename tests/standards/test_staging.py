"""Stages of one wound over its looks, and percent change of its area, from an export to the warehouse.

Sources, named beside each fact: NPUAP 2016 staging (Edsberg and others, PMC5098472); CMS RAI 3.0 manual, section M; CMS
OASIS questions and answers; J Korean Med Ophthalmol Otolaryngol Dermatol 31(4):126, table 3 (five visits).
"""

from decimal import Decimal

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from tests.standards.conftest import RECEIVED, Answers, write_csv

# Wound to its looks, and of each look what is expected: transition, reason, effective stage.
ALLOWED = ("allowed", None)
COURSES = {
    # NPUAP 2016: an injury may deepen. CMS RAI 3.0 manual, section M: it keeps its stage until it is healed.
    "deepens": [("stage_2", *ALLOWED, "stage_2"), ("stage_3", *ALLOWED, "stage_3"), ("stage_4", *ALLOWED, "stage_4"),
                ("closed stage_4", *ALLOWED, "stage_4")],
    # CMS RAI 3.0 manual, section M: no reverse staging.
    "reverse": [("stage_4", *ALLOWED, "stage_4"), ("stage_3", "error", "reverse_staging", "stage_4")],
    "hidden-four": [("stage_4", *ALLOWED, "stage_4"), ("unstageable", *ALLOWED, "stage_4"),
                    ("stage_3", "error", "reverse_staging", "stage_4")],
    # NPUAP 2016: beneath an unstageable injury lies a 3 or a 4.
    "opens": [("unstageable", *ALLOWED, "unstageable"), ("stage_3", *ALLOWED, "stage_3")],
    "never-two": [("unstageable", *ALLOWED, "unstageable"),
                  ("stage_2", "error", "forbidden_transition", "unstageable")],
    # From memory of the NPIAP text: a deep-tissue injury resolves or opens.
    "resolves": [("deep_tissue_injury", *ALLOWED, "deep_tissue_injury"),
                 ("closed deep_tissue_injury", *ALLOWED, "deep_tissue_injury")],
    "evolves": [("deep_tissue_injury", *ALLOWED, "deep_tissue_injury"), ("unstageable", *ALLOWED, "unstageable"),
                ("stage_4", *ALLOWED, "stage_4")],
    # NPUAP 2016: a category without numbers; that it cannot be staged is from memory.
    "mucosa": [("mucosal", *ALLOWED, "mucosal"), ("stage_2", "error", "forbidden_transition", "stage_2")],
    # CMS OASIS questions and answers: what opens again is reported at its worst former stage.
    "reopened": [("stage_4", *ALLOWED, "stage_4"), ("closed stage_4", *ALLOWED, "stage_4"),
                 ("stage_2", "error", "reverse_staging", "stage_4")],
}  # fmt: skip
# Length, width, tissue and stage of the five published visits.
VISITS = [("3.7", "3.1", "slough", "stage_2"), ("3.3", "2.7", "slough", "stage_2"),
          ("3.2", "2.9", "granulation", "stage_1"), ("3.2", "2.8", "granulation", "stage_1"),
          ("2.9", "1.9", "epithelial", "stage_1")]  # fmt: skip


def look(wound: str, number: int, stage: str, **more: str) -> dict[str, str]:
    row = {"injury_observation_id": f"{wound}-{number}", "injury_id": wound, "client_id": "C-1", "location": "sacrum"}
    status, _, stage = stage.rpartition(" ")
    return row | {"observed_at": f"2025-12-0{number}", "stage": stage, "status": status} | more


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    root = tmp_path_factory.mktemp("staging") / "ws"
    assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
    write_csv(root / "inbox" / "clients.csv", [{"client_id": "C-1", "sex": "female", "age_years": 79}])
    rows = [
        look(wound, place, step[0]) for wound, steps in COURSES.items() for place, step in enumerate(steps, start=1)
    ]
    rows += [
        look("visits", place, stage, length_cm=length, width_cm=width, tissue=tissue)
        for place, (length, width, tissue, stage) in enumerate(VISITS, start=1)
    ]
    write_csv(root / "inbox" / "injuries.csv", rows)
    result = CliRunner().invoke(main, ["run", "--workspace", str(root), "--received-at", RECEIVED])
    assert result.exit_code == 0, result.output
    return Answers(root)


@pytest.mark.parametrize("wound", COURSES)
def test_each_step_is_judged_and_no_number_falls(answers, wound):
    found = answers.ask(
        "SELECT transition, transition_reason, effective_stage FROM wounds.course WHERE injury_id = ? ORDER BY look",
        wound,
    )
    assert found == [step[1:] for step in COURSES[wound]]


def test_the_five_published_visits(answers):
    # Table 3 stages 2, 2, 1, 1, 1 with slough at the first two visits, which a stage 2 cannot have (NPUAP 2016). The
    # percentages are computed from the published lengths and widths.
    found = answers.ask(
        "SELECT transition_reason, percent_area_reduction FROM wounds.course WHERE injury_id = 'visits' ORDER BY look"
    )
    slough, reverse = "stage_2_with_deep_tissue", "reverse_staging"
    percents = [Decimal(text) for text in ("0", "22.32", "19.09", "21.88", "51.96")]
    assert found == list(zip([slough, slough, reverse, reverse, reverse], percents, strict=True))


def test_a_healed_stage_4_is_a_healed_stage_4(answers):
    # CMS RAI 3.0 manual, section M: a wound keeps its deepest stage until it is healed, and what healed was that stage.
    # CMS OASIS questions and answers: what opens again is a new episode at its worst former stage.
    found = answers.ask(
        "SELECT injury_id, episode, worst_stage, healed_on IS NOT NULL FROM wounds.episodes"
        " WHERE injury_id IN ('deepens', 'reopened') ORDER BY injury_id, episode"
    )
    assert found == [("deepens", 1, "stage_4", True), ("reopened", 1, "stage_4", True),
                     ("reopened", 2, "stage_4", False)]  # fmt: skip
