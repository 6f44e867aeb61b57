"""An export that tells of wounds by codes, from the inbox to the warehouse and the page."""

import pytest

from tests.contract.conftest import client, placement


@pytest.fixture
def audited(desk):
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    row = {"injury_id": "I-1", "client_id": "C-1", "observed_at": "2026-01-05"}
    desk.drop("injuries.csv", [
        row | {"injury_observation_id": "O-1", "location": "", "stage": "", "icd10_code": "L89153"},
        row | {"injury_observation_id": "O-2", "injury_id": "I-2", "location": "heel", "stage": "420597008"},
        row | {"injury_observation_id": "O-3", "injury_id": "I-3", "icd10_code": "L89.71"},
    ])  # fmt: skip
    desk.run("run", "--received-at", "2026-01-05T06:00:00Z")
    return desk


def test_codes_are_read_noted_and_held(audited):
    # ICD-10-CM L89.153: sacral region, stage 3; L89.71 was never a code. SNOMED CT 420597008: stage 4, inactive.
    read = "SELECT injury_observation_id, location, stage, icd10_code FROM records.injuries ORDER BY ALL"
    assert audited.ask(read) == [("O-1", "sacrum", "stage_3", "L89.153"), ("O-2", "heel", "stage_4", None)]
    noted = "SELECT note, column_name, code, active_code, rows_noted FROM quality.codes_noted"
    assert audited.ask(noted) == [("inactive_code", "stage", "420597008", "1163224003", 1)]
    held = "SELECT column_name, code FROM quality.held WHERE record_id = 'O-3' ORDER BY ALL"
    assert audited.ask(held) == [
        ("icd10_code", "unknown_code"), ("location", "missing_required"), ("stage", "missing_required"),
    ]  # fmt: skip


def test_the_weekly_audit_tells_whoever_makes_the_export(audited):
    [page] = audited.root.glob("audits/2026-01-05/*/weekly_audit.html")
    assert "a SNOMED CT code that is no longer active, 420597008" in page.read_text(encoding="utf-8")
