"""PUSH 3.0 from an export to the warehouse.

Sources: NPUAP, Instructions for Using the PUSH Tool (parts, points, total of 0 to 17); the classes of area by an
independent listing; J Korean Med Ophthalmol Otolaryngol Dermatol 31(4):126, table 3 (five visits with their totals).
"""

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from tests.standards.conftest import RECEIVED, Answers, write_csv

# The lower and upper end of each printed class of area, cm2, with its points. An end is given as length times one.
ENDS = [("0", 0), ("0.2", 1), ("0.3", 2), ("0.6", 2), ("0.7", 3), ("1.0", 3), ("1.1", 4), ("2.0", 4), ("2.1", 5),
        ("3.0", 5), ("3.1", 6), ("4.0", 6), ("4.1", 7), ("8.0", 7), ("8.1", 8), ("12.0", 8), ("12.1", 9), ("24.0", 9),
        ("24.1", 10)]  # fmt: skip
# Length, width, exudate, tissue, stage and the published total of each visit.
VISITS = [("3.7", "3.1", "light", "slough", "stage_2", 12), ("3.3", "2.7", "light", "slough", "stage_2", 12),
          ("3.2", "2.9", "none", "granulation", "stage_1", 10), ("3.2", "2.8", "none", "granulation", "stage_1", 10),
          ("2.9", "1.9", "none", "epithelial", "stage_1", 8)]  # fmt: skip
# NPUAP's instructions: nought when closed, 17 at the worst. 4 by 3 cm, moderate, slough: a teaching page's example, 13.
EXAMPLES = {
    "closed": ({"status": "closed"}, 0),
    "worst": ({"length_cm": "6", "width_cm": "5", "exudate": "heavy", "tissue": "necrotic"}, 17),
    "taught": ({"length_cm": "4", "width_cm": "3", "exudate": "moderate", "tissue": "slough"}, 13),
    "partial": ({"length_cm": "4", "width_cm": "3", "exudate": "moderate"}, None),
}


def look(wound: str, number: int, **more: str) -> dict[str, str]:
    day = f"2025-12-{number:02}"
    return {"injury_observation_id": f"{wound}-{number}", "injury_id": wound, "client_id": "C-1", "location": "sacrum",
            "stage": "stage_3", "observed_at": day} | more  # fmt: skip


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    root = tmp_path_factory.mktemp("push") / "ws"
    assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
    write_csv(root / "inbox" / "clients.csv", [{"client_id": "C-1", "sex": "female", "age_years": 79}])
    rows = [
        look("ends", place, length_cm=area, width_cm="1", exudate="none", tissue="closed")
        for place, (area, _) in enumerate(ENDS, start=1)
    ]
    rows += [
        look("visits", place, length_cm=length, width_cm=width, exudate=exudate, tissue=tissue,
             stage=stage, recorded_push_total=str(total))
        for place, (length, width, exudate, tissue, stage, total) in enumerate(VISITS, start=1)
    ]  # fmt: skip
    rows += [look(wound, 1, **said) for wound, (said, _) in EXAMPLES.items()]
    write_csv(root / "inbox" / "injuries.csv", rows)
    result = CliRunner().invoke(main, ["run", "--workspace", str(root), "--received-at", RECEIVED])
    assert result.exit_code == 0, result.output
    return Answers(root)


def test_both_ends_of_each_class_of_area(answers):
    found = answers.ask(
        "SELECT area_score FROM wounds.push JOIN wounds.course USING (injury_observation_id) "
        "WHERE push.injury_id = ? ORDER BY look",
        "ends",
    )
    assert [row[0] for row in found] == [score for _, score in ENDS]


def test_the_five_published_totals(answers):
    found = answers.ask(
        "SELECT push.push_total, push.push_agrees, course.push_total FROM wounds.push "
        "JOIN wounds.course USING (injury_observation_id) WHERE push.injury_id = ? ORDER BY look",
        "visits",
    )
    assert found == [(total, True, total) for *_, total in VISITS]


@pytest.mark.parametrize("wound", EXAMPLES)
def test_examples_and_no_partial_total(answers, wound):
    assert answers.ask("SELECT push_total FROM wounds.push WHERE injury_id = ?", wound) == [(EXAMPLES[wound][1],)]


def test_the_five_published_visits_raise_both_flags(answers):
    # The case stages 2, 2, 1, 1, 1: slough is no tissue of a stage 2 (NPUAP 2016), and a 2 does not become a 1 (CMS RAI
    # 3.0 manual, section M).
    found = answers.ask(
        "SELECT transition, transition_reason FROM wounds.course WHERE injury_id = 'visits' ORDER BY look"
    )
    assert found == [("review", "stage_2_with_deep_tissue")] * 2 + [("error", "reverse_staging")] * 3


def test_a_reader_sees_both_flags(answers):
    told = CliRunner().invoke(main, ["explain", "C-1", "--workspace", str(answers.root)])
    words = " ".join(told.output.split())
    assert "Recorded as stage 2 on 1 December 2025, to look at again: a stage 2 has no granulation, slough or" in words
    assert "Recorded as stage 1 on 3 December 2025, which cannot be: numbers do not heal backwards" in words
