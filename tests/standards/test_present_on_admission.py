"""Who brought a pressure injury and who deepened it, from an export to the warehouse.

Source: CMS RAI 3.0 manual, section M, its scenarios of present on admission; the two that are from memory say so.
"""

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from tests.standards.conftest import RECEIVED, Answers, write_csv

# The person lives in the facility, goes to hospital on 10 December and comes back on the 15th.
STAYS = [
    {"placement_id": "S-1", "client_id": "C-1", "care_setting": "residential_care", "started_at": "2025-11-01",
     "ended_at": "2025-12-10", "end_reason": "transferred"},
    {"placement_id": "S-2", "client_id": "C-1", "care_setting": "residential_care", "started_at": "2025-12-15"},
]  # fmt: skip
# Wound to its looks (day, stage, present on admission as sent), then worst stage, who brought the first and the worst
# stage, and whether it got deeper here.
SCENARIOS = {
    "admitted-with-2-unchanged": ([("2025-11-01", "stage_2", "yes"), ("2025-12-15", "stage_2", "yes")],
                                  ("stage_2", "present", "present", False)),
    "acquired-2-comes-back-as-2": ([("2025-12-01", "stage_2", "no"), ("2025-12-15", "stage_2", "yes")],
                                   ("stage_2", "acquired", "acquired", False)),
    "acquired-2-comes-back-as-4": ([("2025-12-01", "stage_2", "no"), ("2025-12-15", "stage_4", "yes")],
                                   ("stage_4", "acquired", "present", False)),
    "comes-back-unstageable": ([("2025-12-01", "stage_2", "no"), ("2025-12-15", "unstageable", "yes")],
                               ("unstageable", "acquired", "present", False)),
    "unstageable-then-debrided": ([("2025-11-01", "unstageable", "yes"), ("2025-11-20", "stage_3", "")],
                                  ("stage_3", "present", "present", False)),
    # From memory.
    "then-worsens-further": ([("2025-11-01", "unstageable", "yes"), ("2025-11-20", "stage_3", ""),
                              ("2025-12-05", "stage_4", "")], ("stage_4", "present", "acquired", True)),
    # From memory.
    "present-2-worsens-to-3": ([("2025-11-01", "stage_2", "yes"), ("2025-11-20", "stage_3", "yes")],
                               ("stage_3", "present", "acquired", True)),
    # Present, acquired and not known stay three: our decision.
    "not-known": ([("2025-11-01", "stage_2", "unknown"), ("2025-11-20", "stage_2", "")],
                  ("stage_2", "unknown", "unknown", False)),
}  # fmt: skip


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    root = tmp_path_factory.mktemp("admission") / "ws"
    assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
    write_csv(root / "inbox" / "clients.csv", [{"client_id": "C-1", "sex": "female", "age_years": 79}])
    write_csv(root / "inbox" / "placements.csv", STAYS)
    rows = [
        {"injury_observation_id": f"{wound}-{day}", "injury_id": wound, "client_id": "C-1", "location": "sacrum",
         "observed_at": day, "stage": stage, "present_on_admission": answer}
        for wound, (looks, _) in SCENARIOS.items() for day, stage, answer in looks
    ]  # fmt: skip
    write_csv(root / "inbox" / "injuries.csv", rows)
    result = CliRunner().invoke(main, ["run", "--workspace", str(root), "--received-at", RECEIVED])
    assert result.exit_code == 0, result.output
    return Answers(root)


@pytest.mark.parametrize("wound", SCENARIOS)
def test_who_brought_it_and_who_deepened_it(answers, wound):
    found = answers.ask(
        "SELECT worst_stage, origin, worst_origin, has_worsened_here FROM wounds.episodes WHERE injury_id = ?", wound
    )
    assert found == [SCENARIOS[wound][1]]
