"""Contract E and F: relations and columns that users rely on, options, files, exits."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from pipeline.cli import main

from .conftest import NORTON, braden, client, injury, loan, placement

WEEK_1 = ("--received-at", "2026-01-05T06:00:00Z")

COLUMNS = {
    "risk.scores": "assessment_id client_id scale assessed_at recorded_total recomputed_total total_agrees"
    " recorded_band recomputed_band band_agrees is_complete missing_items suits_age",
    "risk.latest": "client_id scale",
    "risk.history": "assessment_id hours_since_previous hours_since_previous_in_placement",
    "wounds.course": "injury_observation_id injury_id client_id observed_at stage effective_stage transition"
    " transition_reason area_cm2 push_total recorded_push_total percent_area_reduction trend",
    "wounds.open": "injury_id client_id",
    "wounds.episodes": "injury_id episode client_id",
    "trends.healing": "first_stage days",
    "fit.need": "client_id position risk_rung injury_rung need_level reasons missing",
    "fit.options": "client_id position surface_class verdict rank reasons_for reasons_against would_change",
    "fit.provision": "client_id position loan_id surface_class verdict reasons",
    "audit.verdicts": "rule about client_id loan_id injury_id verdict evidence missing_columns",
    "audit.findings": "finding_id rule about client_id loan_id injury_id team clinician severity status since_on due_on"
    " days_overdue evidence subsumed_by action_id",
    "audit.reassessments": "client_id placement_id kind scale last_at due_at status days_overdue interval_id",
    "audit.worklist": "rank client_id team clinician urgent_count soon_count routine_count to_ask_count days_overdue"
    " first_rule",
    "audit.changes": "finding_id change",
    "audit.caseload": "team",
    "audit.unknowns": "rule client_id",
    "audit.to_ask": "client_id column_name",
    "quality.files": "file_id file_name source feed received_at rows_read rows_accepted rows_held status",
    "quality.held": "file_id source_row feed record_id client_id column_name code status hides_newer",
    "quality.reconciliation": "feed accepted current superseded unchanged duplicate entered_in_error waiting withdrawn",
    "quality.score_agreement": "scale",
    "quality.completeness": "feed",
    "review.parameters": "as_of known_at looked_at previous_as_of previous_known_at time_zone policy_fingerprint"
    " store_fingerprint software_version",
    "review.steps": "relation",
}


@pytest.fixture
def full(desk):
    desk.drop("clients.csv", [client(), client("C-2")])
    desk.drop("placements.csv", [placement(), placement("C-2")])
    desk.drop("assessments.csv", [braden("A-1", recorded_total=17)])
    desk.drop("injuries.csv", [injury("O-1")])
    desk.drop("loans.csv", [loan("L-1")])
    desk.run("run", *WEEK_1)
    return desk


def test_relations_have_the_columns_that_users_rely_on(full):
    missing = {}
    for relation, wanted in COLUMNS.items():
        schema, name = relation.split(".")
        have = {
            c
            for (c,) in full.ask(
                "SELECT column_name FROM information_schema.columns"
                f" WHERE table_schema = '{schema}' AND table_name = '{name}'"
            )
        }
        if set(wanted.split()) - have:
            missing[relation] = set(wanted.split()) - have
    assert missing == {}


def test_every_relation_and_column_is_documented_in_the_database(full):
    bare = full.ask(
        "SELECT schema_name || '.' || table_name FROM duckdb_tables() WHERE comment IS NULL"
        " UNION ALL SELECT schema_name || '.' || table_name || '.' || column_name FROM duckdb_columns()"
        " WHERE comment IS NULL AND NOT internal"
    )
    assert bare == []


def test_recorded_against_recomputed(full):
    # 3,3,2,3,3,2 = 16: the worked question of a nursing examination page; 15-18 is the published at-risk band.
    assert full.ask("SELECT recorded_total, recomputed_total, total_agrees, recomputed_band FROM risk.scores") == [
        (17, 16, False, "at_risk")
    ]


def test_norton_through_the_pipeline(desk):
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    rows = []
    for number, items in enumerate([(4, 4, 4, 4, 4), (1, 1, 1, 1, 1), (3, 3, 3, 3, 2), (3, 3, 3, 3, 3)]):
        row = {"assessment_id": f"N-{number}", "client_id": "C-1", "assessed_at": "2026-01-02", "scale": "norton"}
        rows.append({**row, **dict(zip(NORTON, items, strict=True))})
    desk.drop("assessments.csv", rows)
    desk.run("run", *WEEK_1)
    # Published Norton range 5-20; at risk at 14 or below (evidence review of scale ranges).
    assert desk.ask(
        "SELECT recomputed_total, recomputed_band <> 'not_at_risk' FROM risk.scores ORDER BY assessment_id"
    ) == [(20, False), (5, True), (14, True), (15, False)]


def test_the_deep_wound_on_foam_is_found_with_its_evidence(full):
    [(about, loan_id, severity, evidence)] = full.ask(
        "SELECT about, loan_id, severity, evidence FROM audit.findings WHERE rule = 'deep_wound_on_foam'"
    )
    assert (about, loan_id, severity) == ("loan", "L-1", "urgent")
    assert "surface_class = foam" in evidence and "position = lying" in evidence
    assert full.ask("SELECT verdict FROM fit.provision WHERE client_id = 'C-1' AND position = 'lying'") == [
        ("under_provided",)
    ]
    assert full.ask("SELECT verdict FROM fit.provision WHERE client_id = 'C-2' AND position = 'lying'") == [
        ("unknown",)
    ]


def test_a_person_never_assessed(full):
    assert full.ask("SELECT status FROM audit.reassessments WHERE client_id = 'C-2'") == [("never",)]


def test_last_line_of_run_and_report_is_the_index(full):
    for words in (("run", "--received-at", "2026-01-06T06:00:00Z"), ("report",)):
        _, out, _ = full.run(*words)
        assert out.strip().splitlines()[-1] == str(full.root / "audits" / "index.html")
    assert (full.root / "audits" / "2026-01-05" / "20260105T060000Z" / "weekly_audit.html").exists()


def test_exits_that_stop_before_anything_is_written(desk, tmp_path):
    desk.run("report", expect=15)
    desk.run("review", "--as-of", "yesterday", expect=2)
    (desk.root / "caseround.toml").write_text("time_zone = 7\n")
    desk.run("run", expect=10)
    (desk.root / "caseround.toml").write_text('time_zone = "UTC"\nno_such_key = 1\n')
    desk.run("run", expect=10)
    (desk.root / "caseround.toml").write_text('time_zone = "UTC"\n')
    (desk.root / "policy").mkdir()
    (desk.root / "policy" / "nonsense.toml").write_text("[[rule]]\nid = 'x'\n")
    desk.run("run", expect=10)
    assert not (desk.root / "store").exists() or not list((desk.root / "store").rglob("*.json"))
    assert CliRunner().invoke(main, ["run", "--workspace", str(tmp_path / "nowhere")]).exit_code == 10


def test_init_leaves_an_existing_file_alone(desk):
    (desk.root / "caseround.toml").write_text('time_zone = "Europe/London"\n')
    assert CliRunner().invoke(main, ["init", str(desk.root)]).exit_code == 0
    assert (desk.root / "caseround.toml").read_text() == 'time_zone = "Europe/London"\n'


def test_a_late_feed_is_said_and_the_audit_is_published(desk):
    (desk.root / "caseround.toml").write_text('time_zone = "UTC"\n[expected_days]\nclients = 7\n')
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.run("run", *WEEK_1)
    desk.run("run", "--received-at", "2026-01-12T06:00:00Z")
    desk.run("run", "--received-at", "2026-01-13T06:00:00Z", expect=16)
    assert (desk.root / "audits" / "2026-01-13" / "20260113T060000Z" / "weekly_audit.html").exists()


def test_verify_finds_a_changed_byte(full):
    full.run("verify")
    [page] = full.root.glob("audits/*/*/weekly_audit.html")
    data = page.read_bytes()
    page.write_bytes(data.replace(b"caseload", b"caseloaD", 1))
    full.run("verify", expect=17)
    page.write_bytes(data)
    full.run("verify")
    [parquet] = full.root.glob("store/accepted/loans/*.parquet")
    data = bytearray(parquet.read_bytes())
    data[len(data) // 2] ^= 1
    parquet.write_bytes(bytes(data))
    full.run("verify", expect=17)


def test_held_lists_rows_without_values_and_writes_values_only_on_request(desk, tmp_path):
    desk.drop("clients.csv", [client(), client("C-2", age_years="seventy")])
    desk.run("run", *WEEK_1)
    _, out, _ = desk.run("held", "--format", "json")
    assert "seventy" not in out and "C-2" in out
    assert {row["feed"] for row in json.loads(out)} == {"clients"}
    desk.run("held", "--with-values", str(tmp_path / "values.csv"))
    assert "seventy" in (tmp_path / "values.csv").read_text()


def test_relations_names_every_relation(full):
    _, out, _ = full.run("relations")
    assert all(name in out for name in ("risk.scores", "audit.worklist", "quality.reconciliation"))
