"""Kaplan and Meier's curve of healing, from an export to the warehouse.

Source: the trial of Freireich and others 1963 (Blood 21:699), its treated arm of 21, whose times in weeks the textbooks
have (times and results from memory; recomputed with an outside library). Each patient is one wound here, a week
is a day, a relapse is the look that finds it healed, and who was censored was last seen with it open.
"""

import datetime as dt
from decimal import Decimal

import pytest
from click.testing import CliRunner

from pipeline.cli import main
from tests.standards.conftest import RECEIVED, Answers, write_csv

HEALED = (6, 6, 6, 7, 10, 13, 16, 22, 23)
LAST_SEEN_OPEN = (6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35)
# Time, at risk, share not healed and its standard error (Greenwood), to four digits.
CURVE = [(6, 21, ".8571", ".0764"), (7, 17, ".8067", ".0869"), (10, 15, ".7529", ".0963"), (13, 12, ".6902", ".1068"),
         (16, 11, ".6275", ".1141"), (22, 7, ".5378", ".1282"), (23, 6, ".4482", ".1346")]  # fmt: skip
OPENED = dt.date(2025, 11, 1)


@pytest.fixture(scope="module")
def answers(tmp_path_factory):
    root = tmp_path_factory.mktemp("curves") / "ws"
    assert CliRunner().invoke(main, ["init", str(root)]).exit_code == 0
    write_csv(root / "inbox" / "clients.csv", [{"client_id": "C-1", "sex": "female", "age_years": 79}])
    ends = [(days, "closed") for days in HEALED] + [(days, "open") for days in LAST_SEEN_OPEN]
    rows = [
        {"injury_observation_id": f"W-{wound}-{days}", "injury_id": f"W-{wound}", "client_id": "C-1",
         "location": "sacrum", "stage": "stage_3", "observed_at": str(OPENED + dt.timedelta(days)), "status": status}
        for wound, end in enumerate(ends) for days, status in ((0, "open"), end)
    ]  # fmt: skip
    write_csv(root / "inbox" / "injuries.csv", rows)
    result = CliRunner().invoke(main, ["run", "--workspace", str(root), "--received-at", RECEIVED])
    assert result.exit_code == 0, result.output
    return Answers(root)


def test_the_textbook_curve(answers):
    found = answers.ask(
        "SELECT days, at_risk, not_healed, not_healed_error FROM trends.healing WHERE first_stage = 'stage_3'"
        " ORDER BY days"
    )
    assert [row[:2] for row in found] == [row[:2] for row in CURVE]
    # Half of the last digit that is printed, and of the last one that is kept.
    near = Decimal("0.0000505")
    for (*_, share, error), (*_, printed_share, printed_error) in zip(found, CURVE, strict=True):
        assert abs(share - Decimal(printed_share)) <= near
        assert abs(error - Decimal(printed_error)) <= near


def test_where_nobody_died_both_curves_are_one(answers):
    # Aalen and Johansen 1978, from memory: without a competing end the cumulative incidence is 1 - S.
    found = answers.ask("SELECT not_healed + healed_share, died_share FROM trends.healing")
    assert found
    assert {(round(both, 5), died) for both, died in found} == {(Decimal(1), Decimal(0))}
