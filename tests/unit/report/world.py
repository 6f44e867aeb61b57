"""A small invented warehouse for the pages: Harrowfen District on 2 March 2026, with the columns that pages read.

A test asks for the ordinary week, the empty one, the one with missing feeds, the first one, or changes rows of its own.
"""

from datetime import date, datetime, timedelta
from pathlib import Path

import duckdb

from pipeline.settings import Workspace
from tests.unit.report import people_world, person_world, trends_world

AS_OF = people_world.AS_OF
PEOPLE = people_world.PEOPLE


def at(month: int, day: int, hour: int = 0) -> datetime:
    """An instant of 2026 as the warehouse holds it: UTC, without an offset."""
    return datetime(2026, month, day, hour)


COLUMNS = {
    "review.parameters": "as_of DATE, known_at TIMESTAMP, looked_at TIMESTAMP, previous_as_of DATE,"
    " previous_known_at TIMESTAMP, is_first_audit BOOLEAN, time_zone VARCHAR, held_for_days INTEGER,"
    " audit_every_days INTEGER, policy_fingerprint VARCHAR, store_fingerprint VARCHAR, software_version VARCHAR",
    "policy.labels": "kind VARCHAR, code VARCHAR, label VARCHAR",
    "policy.blocks": "block_id VARCHAR, kind VARCHAR, file VARCHAR, basis VARCHAR, source VARCHAR,"
    " effective_from DATE, signed_off_on DATE, signed_off_role VARCHAR",
    "policy.local_changes": "kind VARCHAR, block_id VARCHAR, change VARCHAR, label VARCHAR, was VARCHAR, now VARCHAR,"
    " why VARCHAR",
    "policy.rules": "rule VARCHAR, family VARCHAR",
    "policy.severities": "severity VARCHAR, position INTEGER, due_days INTEGER, day_kind VARCHAR",
    "audit.forecast": "team VARCHAR, week INTEGER, from_on DATE, to_on DATE, people INTEGER, first_people INTEGER,"
    " change_people INTEGER",
    "audit.changes": "finding_id VARCHAR, change VARCHAR, severity VARCHAR",
    "audit.service_sentences": "sentence VARCHAR",
    "audit.rule_surges": "rule VARCHAR, title VARCHAR, people INTEGER, of_people INTEGER, previous_people INTEGER,"
    " of_previous INTEGER, change VARCHAR, untold_people INTEGER",
    "audit.caseload": "team VARCHAR, people INTEGER, urgent_people INTEGER, overdue_people INTEGER,"
    " due_four_weeks INTEGER, cannot_judge_lying INTEGER",
    "state.clients": "client_id VARCHAR, team VARCHAR, care_setting VARCHAR, caps_verdict BOOLEAN",
    "fit.need": "client_id VARCHAR, position VARCHAR, need_level VARCHAR",
    "fit.provision": "client_id VARCHAR, position VARCHAR, loan_id VARCHAR, surface_class VARCHAR, verdict VARCHAR,"
    " cautions VARCHAR, is_asked BOOLEAN",
    "records.loans": "client_id VARCHAR, loan_id VARCHAR, bottoming_check VARCHAR",
    "quality.files": "file_name VARCHAR, feed VARCHAR, rows_read INTEGER, rows_accepted INTEGER, rows_held INTEGER,"
    " status VARCHAR, code VARCHAR",
    "quality.codes_noted": "source VARCHAR, received_at TIMESTAMP, note VARCHAR, column_name VARCHAR, code VARCHAR,"
    " system VARCHAR, stage VARCHAR, active_code VARCHAR, rows_noted INTEGER",
    "quality.arrivals": "feed VARCHAR, last_received_at TIMESTAMP, expected_days INTEGER, days_since INTEGER,"
    " is_late BOOLEAN",
} | trends_world.COLUMNS | people_world.COLUMNS | person_world.COLUMNS

# As long as the longest of the warehouse's own, which must not run off a phone.
QUESTION = "What is asked here, of whom, for which reason, and by which day is it to be answered?"
HEADLINE = {
    "people": 238, "previous_people": 241,
    "urgent_people": 9, "previous_urgent_people": 12, "urgent_people_new": 5, "urgent_people_standing": 4,
    "urgent_people_resolved": 8, "soon_people": 31,
    "overdue_people": 29, "previous_overdue_people": 34, "overdue_percent": 12,
    "overdue_with_wound": 8, "due_four_weeks": 91,
    "lying_judged": 186, "lying_matched": 154, "lying_under": 19, "lying_over": 7, "lying_contraindicated": 6,
    "lying_cannot_judge": 52,
    "sitting_people": 121, "sitting_judged": 74, "sitting_matched": 52, "sitting_under": 15, "sitting_over": 3,
    "sitting_contraindicated": 4, "sitting_cannot_judge": 47,
    "new_injuries": 4, "new_injury_people": 4, "new_injuries_full_thickness": 1, "new_injuries_present": 2,
    "new_injuries_acquired": 1, "new_injuries_origin_unknown": 1,
    "waiting_people": 11, "waiting_longest_days": 23, "waiting_full_thickness_people": 3,
    "powered_surfaces": 88, "powered_without_plan": 47, "services_overdue": 14,
    "findings_open": 63, "findings_new": 12, "findings_standing": 51, "findings_resolved": 17,
    "findings_accepted": 4, "findings_returned": 2,
    "rows_received": 6412, "rows_used": 6377, "rows_held": 35, "rows_waiting": 2,
    "held_injury_rows": 3, "held_injury_people": 3, "people_with_questions": 140,
    "leaving_soon": 5, "unplaced_people": 1, "rules_switched_off": 2, "answers_of_no_rule": 6,
}  # fmt: skip

TEAMS = (
    ("Saltbeck Community", 92, 4, 13, 31, 18),
    ("Tollmere Care Homes", 71, 3, 10, 26, 27),
    ("Quillmoor Community", 58, 1, 5, 19, 6),
    ("Harrowfen Rehabilitation", 17, 1, 1, 15, 1),
)

# position, need, then how many: matched, under_provided, contraindicated, over_provided, unknown
PROVISION = (
    ("lying", "very_high", 22, 9, 3, 0, 11),
    ("lying", "high", 51, 8, 2, 1, 14),
    ("lying", "at_risk", 60, 2, 1, 4, 9),
    ("lying", "low", 21, 0, 0, 2, 3),
    ("lying", "unknown", 0, 0, 0, 0, 15),
    ("sitting", "very_high", 9, 7, 2, 0, 12),
    ("sitting", "high", 18, 6, 2, 1, 16),
    ("sitting", "at_risk", 25, 2, 0, 2, 19),
)
VERDICTS = ("matched", "under_provided", "contraindicated", "over_provided", "unknown")

FEEDS = ("clients", "placements", "assessments", "circumstances", "injuries", "loans", "actions", "merges")

LABELS = {
    "verdict": {
        "matched": "meets need", "under_provided": "below need", "over_provided": "above need (step-down review)",
        "contraindicated": "unsafe as set up", "unknown": "cannot be judged",
    },
    "position": {"lying": "bed", "sitting": "seat"},
    "need": {
        "very_high": "very high need", "high": "high need", "at_risk": "at-risk need", "low": "low need",
        "unknown": "need not known",
    },
    "family": {"safety": "Can harm today", "under_provision": "Less than the person needs"},
    "severity": {"urgent": "urgent", "soon": "soon", "routine": "routine"},
    "feed": {feed: feed for feed in FEEDS} | {"injuries": "looks at wounds", "loans": "surfaces on loan"},
    "policy_kind": {"rule": "rule", "parameter": "number"},
    "policy_change": {"added": "added", "changed": "changed", "switched_off": "switched off"},
    "code_system": {"snomed_ct": "SNOMED CT", "icd10_cm": "ICD-10-CM"},
    "column": {
        "stage": "Stage", "position": "Bed or seat", "weight_kg": "Weight in kg", "issued_on": "Issued",
        "is_powered": "Powered",
    },
    "refusal": {"unknown_feed": "which feed it is cannot be told"},
    **trends_world.LABELS,
    **people_world.LABELS,
    **person_world.LABELS,
}  # fmt: skip


def ordinary_week() -> dict[str, list[dict]]:
    """Relation to rows: an ordinary week with nine urgent people, one late feed and three held wounds."""
    rows: dict[str, list[dict]] = {name: [] for name in COLUMNS} | trends_world.ordinary()
    rows["review.parameters"] = [{
        "as_of": AS_OF, "known_at": at(3, 2, 6), "looked_at": at(3, 2, 6),
        "previous_as_of": date(2026, 2, 23), "is_first_audit": False, "time_zone": "UTC", "held_for_days": 90,
        "audit_every_days": 7, "policy_fingerprint": "7c1e" * 16, "store_fingerprint": "90ab" * 16,
        "software_version": "0.1.0",
    }]  # fmt: skip
    rows["audit.headline"] = [dict(HEADLINE)]
    rows["policy.labels"] = [
        {"kind": kind, "code": code, "label": label} for kind, codes in LABELS.items() for code, label in codes.items()
    ]
    rows["policy.blocks"] = [{"block_id": "braden", "file": "scales/braden.toml", "signed_off_on": date(2026, 1, 5)}]
    rows["policy.blocks"] += trends_world.BLOCKS
    rows["policy.rules"] = [
        {"rule": "fire_without_plan", "family": "safety"},
        *({"rule": rule, "family": "under_provision"} for rule in ("deep_wound_on_foam", "sits_on_wound")),
    ]
    rows["policy.severities"] = [
        {"severity": severity, "position": place} for place, severity in enumerate(("urgent", "soon", "routine"))
    ]
    rows["audit.caseload"] = [
        dict(zip(("team", "people", "urgent_people", "overdue_people", "due_four_weeks", "cannot_judge_lying"), team,
                 strict=True))
        for team in TEAMS
    ]  # fmt: skip
    people_world.add_people(rows)
    people_world.add_waits(rows)
    person_world.add_sheet(rows)
    _add_forecast(rows)
    _add_provision(rows)
    _add_quality(rows)
    for change, severity, amount in (("new", "urgent", 5), ("standing", "soon", 8), ("resolved", "routine", 9)):
        rows["audit.changes"] += [{"change": change, "severity": severity}] * amount
    return rows


def _add_forecast(rows: dict[str, list[dict]]) -> None:
    for team, *_, due, _ in TEAMS:
        for week in (1, 2, 3, 4):
            rows["audit.forecast"].append({
                "team": team, "week": week, "from_on": AS_OF + timedelta(days=7 * week - (7 if week == 1 else 6)),
                "to_on": AS_OF + timedelta(days=7 * week), "people": due if week == 4 else 0,
            })  # fmt: skip


def _add_provision(rows: dict[str, list[dict]]) -> None:
    person = 1000
    for position, need, *amounts in PROVISION:
        for verdict, amount in zip(VERDICTS, amounts, strict=True):
            for _ in range(amount):
                person += 1
                client = f"C-{person}"
                rows["fit.need"].append({"client_id": client, "position": position, "need_level": need})
                rows["fit.provision"].append(
                    {"client_id": client, "position": position, "verdict": verdict, "is_asked": True}
                )


def _add_quality(rows: dict[str, list[dict]]) -> None:
    for feed in FEEDS:
        rows["quality.files"].append({
            "file_name": f"{feed}.csv", "feed": feed, "rows_read": 801, "rows_accepted": 797, "rows_held": 4,
            "status": "accepted",
        })  # fmt: skip
        rows["quality.arrivals"].append({
            "feed": feed, "last_received_at": at(3, 2, 5), "expected_days": 7, "days_since": 0,
            "is_late": False,
        })  # fmt: skip
    loans = rows["quality.arrivals"][FEEDS.index("loans")]
    loans.update(last_received_at=at(2, 19, 5), days_since=11, is_late=True)


def first_week() -> dict[str, list[dict]]:
    """The same week without one before it: previous figures are blank and everything is a backlog."""
    rows = ordinary_week()
    rows["review.parameters"][0].update(is_first_audit=True, previous_as_of=None)
    headline = rows["audit.headline"][0]
    changed = [name for name in headline if name.startswith("previous_")]
    changed += ["urgent_people_new", "urgent_people_standing", "urgent_people_resolved", "findings_new"]
    headline.update(dict.fromkeys([*changed, "findings_standing", "findings_resolved"]))
    rows["audit.changes"] = []
    return rows


def quiet_week() -> dict[str, list[dict]]:
    """214 people, every feed in time, and nobody who needs anyone."""
    rows = ordinary_week()
    headline = rows["audit.headline"][0]
    headline.update({name: 0 for name in headline if "people" not in name or name.endswith(("_new", "_standing"))})
    headline.update(people=214, previous_people=214, urgent_people=0, previous_urgent_people=0, soon_people=0,
                    overdue_people=0, overdue_percent=0, new_injury_people=0, waiting_people=0, held_injury_people=0,
                    people_with_questions=0, urgent_people_resolved=0)  # fmt: skip
    for name in ("audit.worklist", "audit.findings", "audit.to_ask", "audit.changes", "audit.waiting"):
        rows[name] = []
    for client in rows["state.clients"]:
        client.update(caps_verdict=False)
    for arrival in rows["quality.arrivals"]:
        arrival.update(last_received_at=at(3, 2, 5), days_since=0, is_late=False)
    return rows


def nobody() -> dict[str, list[dict]]:
    """No person at all: a workspace whose placements have all ended."""
    rows = quiet_week()
    headline = rows["audit.headline"][0]
    headline.update(dict.fromkeys(headline, 0), overdue_percent=None, waiting_longest_days=None)
    trends = [name for name in COLUMNS if name.startswith("trends.") and name != "trends.conclusions"]
    for name in ("audit.caseload", "audit.forecast", "state.clients", "fit.need", "fit.provision", *trends):
        rows[name] = []
    rows["trends.conclusions"] = [
        {"measure": row["measure"], "position": row["position"], "conclusion": "no_data", "is_trial": False,
         "signal_months": 0, "uncovered_months": 0}
        for row in rows["trends.conclusions"]
    ]  # fmt: skip
    return rows


def missing_feeds() -> dict[str, list[dict]]:
    """No wounds and no loans ever came: nothing about them can be said, and zero is not good news."""
    rows = quiet_week()
    for arrival in rows["quality.arrivals"]:
        if arrival["feed"] in ("injuries", "loans"):
            arrival.update(last_received_at=None, days_since=None, is_late=True)
    rows["quality.files"] = [row for row in rows["quality.files"] if row["feed"] not in ("injuries", "loans")]
    return rows


def write_world(root: Path, rows: dict[str, list[dict]]) -> Workspace:
    """A workspace whose published warehouse holds these rows."""
    root.mkdir(parents=True, exist_ok=True)
    workspace = Workspace(root=root)
    workspace.warehouse.unlink(missing_ok=True)
    columns = COLUMNS | {"audit.headline": ", ".join(f"{name} INTEGER" for name in HEADLINE)}
    with duckdb.connect(str(workspace.warehouse)) as con:
        for schema in sorted({name.partition(".")[0] for name in columns}):
            con.execute(f"CREATE SCHEMA {schema}")
        for relation, types in columns.items():
            con.execute(f"CREATE TABLE {relation} ({types})")
            names = [part.split()[0] for part in types.split(", ")]
            _insert(con, relation, names, rows[relation])
            con.execute("; ".join(_comments(relation, names)))
    return workspace


def _comments(relation: str, names: list[str]) -> list[str]:
    about = f"COMMENT ON TABLE {relation} IS '{QUESTION} Grain: one row per thing. Beware: it is invented.'"
    means = "what stands here; one of client_a, b"
    return [about, *(f"COMMENT ON COLUMN {relation}.{name} IS '{means}'" for name in names)]


def _insert(con: duckdb.DuckDBPyConnection, relation: str, names: list[str], rows: list[dict]) -> None:
    """All rows in one statement, because a statement for each would be most of the time that these tests take."""
    if rows:
        assert {name for row in rows for name in row} <= set(names), relation
        marks = ", ".join(["(" + ", ".join("?" for _ in names) + ")"] * len(rows))
        values = [row.get(name) for row in rows for name in names]
        con.execute(f"INSERT INTO {relation} VALUES {marks}", values)
