"""Contract B: two times, zones, days and instants, the previous audit."""

from __future__ import annotations

import datetime as dt

from .conftest import braden, client, injury, loan, placement

WEEK_1 = ("--received-at", "2026-01-05T06:00:00Z")


def test_offsets_are_converted_and_days_stay_days(desk):
    (desk.root / "caseround.toml").write_text('time_zone = "Europe/London"\n')
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.drop(
        "assessments.csv",
        [
            braden("A-1", at="2025-07-01T10:00:00Z"),
            braden("A-2", at="2025-07-01T10:00:00"),
            braden("A-3", at="2025-07-01"),
            braden("A-4", at="2025-07-01T10:00:00+05:30"),
        ],
    )
    desk.run("run", *WEEK_1)
    at = dict(desk.ask("SELECT assessment_id, assessed_at FROM records.assessments"))
    assert at["A-1"] == dt.datetime(2025, 7, 1, 11) and at["A-2"] == dt.datetime(2025, 7, 1, 10)
    assert at["A-4"] == dt.datetime(2025, 7, 1, 5, 30)
    assert desk.ask("SELECT assessment_id FROM records.assessments WHERE NOT assessed_at_has_time") == [("A-3",)]


def test_after_received_is_held_by_the_day(desk):
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.drop(
        "assessments.csv",
        [
            braden("A-1", at="2026-01-05T23:00:00"),
            braden("A-2", at="2026-01-06"),
            braden("A-3", updated_at="2026-01-05T07:00:00"),
        ],
    )
    desk.run("run", *WEEK_1)
    assert desk.ask("SELECT record_id FROM quality.held ORDER BY 1") == [("A-2",), ("A-3",)]


def test_events_after_the_as_of_day_are_not_seen(desk):
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.drop("loans.csv", [loan("L-1", issued_on="2026-01-04", planned=None)])
    desk.drop("injuries.csv", [injury("O-1"), injury("O-2", observed_at="2026-01-05", stage="stage_3")])
    desk.run("run", *WEEK_1, "--as-of", "2026-01-03")
    assert desk.ask("SELECT injury_observation_id FROM records.injuries") == [("O-1",)]
    assert desk.ask("SELECT issued_on FROM records.loans") == [(None,)]


def test_who_is_on_the_caseload(desk):
    desk.drop("clients.csv", [client(f"C-{i}") for i in range(1, 6)])
    desk.drop(
        "placements.csv",
        [
            placement("C-1", started_at="2026-01-05"),
            placement("C-2", started_at="2026-01-06"),
            placement("C-3", ended_at="2026-01-05"),
            placement("C-4", ended_at=None),
        ],
    )
    desk.run("run", *WEEK_1)
    seen = dict(desk.ask("SELECT client_id, is_placed FROM state.clients"))
    assert seen == {"C-1": True, "C-4": True, "C-5": False}


def test_known_at_and_as_of_defaults(desk):
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.run("run", "--received-at", "2026-01-12T06:00:00Z")
    assert desk.ask("SELECT as_of FROM review.parameters") == [(dt.date(2026, 1, 12),)]
    desk.run("run", "--received-at", "2026-01-19T06:00:00Z")
    assert desk.ask("SELECT as_of, previous_as_of FROM review.parameters") == [
        (dt.date(2026, 1, 19), dt.date(2026, 1, 12))
    ]
    desk.run("review")
    assert desk.ask("SELECT as_of FROM review.parameters") == [(dt.date(2026, 1, 12),)]
    desk.run("review", "--known-at", "2026-01-14")
    [(known_at,)] = desk.ask("SELECT known_at FROM review.parameters")
    assert known_at.date() == dt.date(2026, 1, 14) and known_at.hour == 23


def test_first_audit_is_backlog_and_the_next_one_is_not(desk):
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.drop("injuries.csv", [injury("O-1")])
    desk.drop("loans.csv", [loan("L-1")])
    desk.run("run", *WEEK_1)
    assert {s for (s,) in desk.ask("SELECT status FROM audit.findings")} <= {"backlog", "subsumed"}
    first = desk.ask("SELECT finding_id FROM audit.findings WHERE rule = 'deep_wound_on_foam'")
    assert len(first) == 1
    desk.run("run", "--received-at", "2026-01-12T06:00:00Z")
    assert desk.ask("SELECT status FROM audit.findings WHERE rule = 'deep_wound_on_foam'") == [("open",)]
    assert ("standing",) in desk.ask(f"SELECT change FROM audit.changes WHERE finding_id = '{first[0][0]}'")


def test_a_past_audit_comes_back_byte_for_byte(desk):
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.drop("injuries_a.csv", [injury("O-1", updated_at="2026-01-04")])
    desk.drop("loans.csv", [loan("L-1")])
    desk.run("run", *WEEK_1)
    [page] = desk.root.glob("audits/2026-01-05/20260105T060000Z/weekly_audit.html")
    before = page.read_bytes()
    desk.drop("injuries_b.csv", [injury("O-1", stage="stage_2", updated_at="2026-01-06")])
    desk.run("run", "--received-at", "2026-01-12T06:00:00Z")
    desk.run("review", "--as-of", "2026-01-05", "--known-at", "2026-01-05T06:00:00Z")
    page.unlink()
    desk.run("report")
    pages = sorted(desk.root.glob("audits/2026-01-05/20260105T060000Z*/weekly_audit.html"))
    assert [p.read_bytes() for p in pages] == [before]
