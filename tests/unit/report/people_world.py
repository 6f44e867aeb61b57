"""The people of the invented warehouse for the pages: what the list of people says of them and what is asked."""

from datetime import date, timedelta

AS_OF = date(2026, 3, 2)

COLUMNS = {
    "audit.worklist": "rank INTEGER, client_id VARCHAR, team VARCHAR, clinician VARCHAR, urgent_count INTEGER,"
    " soon_count INTEGER, routine_count INTEGER, to_ask_count INTEGER, days_overdue INTEGER, first_rule VARCHAR,"
    " level VARCHAR, reason VARCHAR, due_on DATE, more_count INTEGER, has_held_row BOOLEAN, is_never_assessed BOOLEAN",
    "audit.findings": "finding_id VARCHAR, rule VARCHAR, client_id VARCHAR, loan_id VARCHAR, team VARCHAR,"
    " clinician VARCHAR, severity VARCHAR, status VARCHAR, since_on DATE, since_is_known BOOLEAN, due_on DATE,"
    " days_overdue INTEGER, title VARCHAR, consider VARCHAR, evidence VARCHAR, is_shown BOOLEAN, rule_position INTEGER,"
    " answer VARCHAR, quiet_until DATE, is_told_once BOOLEAN, list_name VARCHAR, never_softened BOOLEAN",
    "state.loans": "client_id VARCHAR, loan_id VARCHAR, surface_class VARCHAR, position VARCHAR, owner VARCHAR",
    "audit.waiting": "loan_id VARCHAR, client_id VARCHAR, team VARCHAR, clinician VARCHAR, position VARCHAR,"
    " surface_class VARCHAR, owner VARCHAR, loan_status VARCHAR, waiting_since_on DATE, days_waiting INTEGER,"
    " has_open_injury BOOLEAN, full_thickness_on_trunk_or_pelvis BOOLEAN",
    "audit.to_collect": "loan_id VARCHAR, client_id VARCHAR, team VARCHAR, clinician VARCHAR, surface_class VARCHAR,"
    " position VARCHAR, owner VARCHAR, left_on DATE, end_reason VARCHAR, days_since_left INTEGER",
    "audit.to_ask": "client_id VARCHAR, team VARCHAR, clinician VARCHAR, column_name VARCHAR, label VARCHAR,"
    " rules_waiting INTEGER, rank INTEGER, why VARCHAR, is_asked BOOLEAN",
    "audit.unknowns": "rule VARCHAR, client_id VARCHAR, column_name VARCHAR, why VARCHAR",
}

LABELS = {
    "finding_status": {
        "open": "open", "returned": "said corrected, record disagrees", "accepted": "quiet for now",
        "subsumed": "part of another finding", "reported_corrected": "said corrected", "backlog": "starting backlog",
    },
    "answer": {"corrected_disagrees": "said corrected, export disagrees", "not_reached": "tried, not reached"},
    "why": {
        "not_recorded": "not recorded", "too_old": "too old to trust",
        "feed_absent": "the export is late or never came",
    },
    "care_setting": {"community": "at home, community team"},
    "surface_class": {"foam": "Foam mattress", "alternating_air": "Alternating air mattress"},
    "owner": {"loan_service": "loan service"},
    "loan_status": {"requested": "asked for", "ordered": "ordered"},
}  # fmt: skip

# client, team, clinician, urgent, soon, routine, overdue, rule, severity, due, title, consider, questions
PEOPLE = (
    ("C-0417", "Saltbeck Community", "K12", 1, 2, 1, 1, "deep_wound_on_foam", "urgent", date(2026, 2, 27),
     "Full-thickness or deep injury on a non-air surface",
     "See bed and seat together; a class for full-thickness wounds, or write why foam stays; heels clear of the bed",
     ("Power-cut plan", "Longest single sitting")),
    ("C-0233", "Tollmere Care Homes", "K03", 1, 0, 0, 0, "fire_without_plan", "urgent", AS_OF,
     "Smokes in bed on a pump-fed mattress, no fire plan",
     "Ring the home; fire service visit; no pump until there is a plan", ("Who supervises smoking",)),
    ("C-0098", "Quillmoor Community", "K07", 1, 1, 0, 0, "sits_on_wound", "urgent", AS_OF,
     "Sits on an open wound", "Sitting plan; air or gel cushion trial; tilt", ()),
    ("C-0151", "Saltbeck Community", None, 0, 1, 0, 0, "heels_not_clear", "soon", date(2026, 3, 12),
     "Heels not clear of the bed", "Heels off the bed; look again in a week", ("Infection signs",)),
)  # fmt: skip


def add_people(rows: dict[str, list[dict]]) -> None:
    """The four people with their findings, questions, place and mattress."""
    for rank, person in enumerate(PEOPLE, start=1):
        client, team, clinician, urgent, soon, routine, overdue, rule = person[:8]
        level, due_on, reason, _, questions = person[8:]
        rows["audit.worklist"].append({
            "rank": rank, "client_id": client, "team": team, "clinician": clinician, "urgent_count": urgent,
            "soon_count": soon, "routine_count": routine, "days_overdue": overdue, "first_rule": rule, "level": level,
            "reason": reason, "due_on": due_on, "more_count": urgent + soon + routine - 1, "has_held_row": rank == 1,
            "is_never_assessed": False,
        })  # fmt: skip
        rows["audit.findings"] += _findings(rank, person)
        rows["audit.to_ask"] += [
            {"client_id": client, "team": team, "clinician": clinician, "column_name": question, "label": question,
             "rules_waiting": 1, "rank": place, "why": "not_recorded",
             "is_asked": place <= 5}
            for place, question in enumerate(questions, start=1)
        ]  # fmt: skip
        rows["audit.unknowns"] += [
            {"rule": rule, "client_id": client, "column_name": question, "why": "not_recorded"}
            for question in questions
        ]
        rows["state.clients"].append(
            {"client_id": client, "team": team, "care_setting": "community", "caps_verdict": rank == 1}
        )
        rows["fit.need"].append({"client_id": client, "position": "lying", "need_level": "very_high"})
        rows["fit.provision"].append(
            {"client_id": client, "position": "lying", "surface_class": "foam", "verdict": "unknown", "is_asked": True}
        )


def _findings(rank: int, person: tuple) -> list[dict]:
    """The leading finding, and as many more as the counts of the person say."""
    client, team, clinician, urgent, soon, routine, overdue, rule, level, due_on, reason, consider, _ = person
    finding = {
        "finding_id": f"f{rank}", "rule": rule, "client_id": client, "team": team, "clinician": clinician,
        "severity": level, "status": "open", "since_on": due_on - timedelta(days=1), "since_is_known": True,
        "due_on": due_on, "days_overdue": overdue, "title": reason, "consider": consider, "is_shown": True,
        "is_told_once": False, "list_name": "people", "rule_position": 1,
        "evidence": "position = lying; weight_kg = 62.5000; issued_on = 2025-11-03; is_powered = false; owner = ",
    }  # fmt: skip
    others = ["urgent"] * urgent + ["soon"] * soon + ["routine"] * routine
    others.remove(level)
    return [finding] + [
        finding | {"finding_id": f"f{rank}-{place}", "rule": f"other_{place}", "severity": severity,
                   "title": f"Another {severity} thing of {client}", "rule_position": 1 + place}
        for place, severity in enumerate(others, start=1)
    ]  # fmt: skip


def add_waits(rows: dict[str, list[dict]]) -> None:
    """Three surfaces that are asked for: for somebody on the list, for somebody who is not, and one without a day."""
    wait = {"team": "Saltbeck Community", "clinician": "K12", "position": "lying", "owner": "loan_service"}
    rows["audit.waiting"] += [
        wait | {"loan_id": "L-1", "client_id": "C-0800", "surface_class": "foam", "loan_status": "ordered",
                "waiting_since_on": date(2026, 2, 7), "days_waiting": 23, "has_open_injury": False,
                "full_thickness_on_trunk_or_pelvis": False},
        wait | {"loan_id": "L-2", "client_id": "C-0417", "surface_class": "alternating_air",
                "loan_status": "requested", "waiting_since_on": date(2026, 2, 28), "days_waiting": 2,
                "has_open_injury": True, "full_thickness_on_trunk_or_pelvis": True},
        wait | {"loan_id": "L-3", "client_id": "C-0801", "surface_class": "foam", "loan_status": "requested",
                "waiting_since_on": None, "days_waiting": None, "has_open_injury": None,
                "full_thickness_on_trunk_or_pelvis": None},
    ]  # fmt: skip
