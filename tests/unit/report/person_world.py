"""The sheets of the invented warehouse: one person of whom all is recorded, and others of whom hardly anything is."""

from datetime import date, datetime

COLUMNS = {
    "state.clients": "client_id VARCHAR, team VARCHAR, care_setting VARCHAR, "
    "caps_verdict BOOLEAN, sex VARCHAR, age_years "
    "INTEGER, clinician VARCHAR, risk_band VARCHAR, risk_total DECIMAL(18,4), risk_scale VARCHAR, "
    "risk_assessed_on DATE, risk_is_stale BOOLEAN, risk_is_wrong_for_age BOOLEAN, "
    "risk_suits_setting BOOLEAN, has_newer_incomplete BOOLEAN, clinician_level VARCHAR, "
    "has_open_injury BOOLEAN, hours_seated DECIMAL(18,4), longest_sit_min INTEGER, "
    "weight_kg DECIMAL(18,4), bed_mobility VARCHAR, heel_offloading VARCHAR, "
    "has_declined BOOLEAN, declined_lying BOOLEAN, declined_sitting BOOLEAN, declined_heel BOOLEAN, "
    "declined_turning BOOLEAN, has_held_row BOOLEAN, held_feeds VARCHAR",
    "risk.local_bands": "client_id VARCHAR, scale VARCHAR",
    "audit.reassessments": "due_on DATE, days_overdue INTEGER, client_id VARCHAR",
    "risk.scores": "client_id VARCHAR, assessment_id VARCHAR, assessed_at TIMESTAMP, scale VARCHAR, recorded_total "
    "DECIMAL(18,4), recomputed_total DECIMAL(18,4), total_agrees BOOLEAN, band VARCHAR, is_complete "
    "BOOLEAN, suits_age BOOLEAN, total DECIMAL(18,4)",
    "wounds.open": "client_id VARCHAR, injury_id VARCHAR, location VARCHAR, side VARCHAR, effective_stage VARCHAR, "
    "is_pressure BOOLEAN, device_related BOOLEAN, present_on_admission VARCHAR, first_seen_on DATE, "
    "signs_of_infection BOOLEAN, has_contradiction BOOLEAN, needs_offloading BOOLEAN, is_full_thickness "
    "BOOLEAN",
    "wounds.course": "client_id VARCHAR, injury_id VARCHAR, injury_observation_id VARCHAR, observed_at TIMESTAMP, look "
    "INTEGER, effective_stage VARCHAR, area_cm2 DECIMAL(18,4), push_total INTEGER, trend VARCHAR",
    "wounds.episodes": "client_id VARCHAR, injury_id VARCHAR, episode INTEGER, location VARCHAR, side VARCHAR, "
    "is_pressure BOOLEAN, opened_on DATE, healed_on DATE, is_reopened BOOLEAN, reopened_on DATE, stays INTEGER, "
    "first_stage VARCHAR, worst_stage VARCHAR, worst_since DATE, origin VARCHAR, worst_origin VARCHAR, "
    "has_worsened_here BOOLEAN",
    "state.loans": "client_id VARCHAR, loan_id VARCHAR, surface_class VARCHAR, position VARCHAR, owner VARCHAR, "
    "issued_on DATE, days_since_issued INTEGER, is_where_person_is BOOLEAN, in_use BOOLEAN, state_seen_on "
    "DATE, state_is_too_old BOOLEAN, mode VARCHAR, setting DECIMAL(18,4), setting_kind VARCHAR, "
    "cycle_minutes DECIMAL(18,4), pump_state VARCHAR, is_powered BOOLEAN, bottoming_check VARCHAR, "
    "bottoming_method VARCHAR, bottoming_checked_on DATE, trial_started_on DATE, trial_reviewed_on DATE",
    "fit.failed_trials": "client_id VARCHAR, position VARCHAR, surface_class VARCHAR, told VARCHAR",
    "records.circumstances": "client_id VARCHAR, turning_interval_h DECIMAL(18,4), "
    "transfers VARCHAR, height_cm DECIMAL(18,4), "
    "bed_frame_max_kg DECIMAL(18,4), bed_width_cm DECIMAL(18,4), outage_plan BOOLEAN, goals_reviewed_on "
    "DATE, observed_on DATE, circumstances_id VARCHAR",
    "fit.need": "client_id VARCHAR, position VARCHAR, need_level VARCHAR, need_at_least INTEGER, reasons VARCHAR, "
    "missing VARCHAR",
    "fit.provision": "client_id VARCHAR, position VARCHAR, loan_id VARCHAR, surface_class VARCHAR, verdict VARCHAR, "
    "is_asked BOOLEAN, reasons VARCHAR, cautions VARCHAR",
    "fit.offloading": "client_id VARCHAR, injury_id VARCHAR, need_kind VARCHAR, location VARCHAR, side VARCHAR, "
    "reasons VARCHAR",
    "fit.conflicts": "client_id VARCHAR, position VARCHAR, conflict VARCHAR, classes VARCHAR, says VARCHAR, "
    "source VARCHAR",
    "fit.person_facts": "client_id VARCHAR, fact VARCHAR, position VARCHAR, is_true BOOLEAN",
    "fit.options": "client_id VARCHAR, position VARCHAR, surface_class VARCHAR, verdict VARCHAR, rank INTEGER, "
    "reasons_for VARCHAR, reasons_against VARCHAR, would_change VARCHAR, check_first VARCHAR, relief INTEGER, "
    "comfort INTEGER, cost INTEGER, basis VARCHAR, is_in_use BOOLEAN, note VARCHAR",
    "policy.fit_priorities": "fact VARCHAR, label VARCHAR, listed INTEGER",
    "policy.need_levels": "rung INTEGER, label VARCHAR",
}

WHO = "C-0417"
LABELS = {
    "scale": {"braden": "Braden"}, "band": {"high": "high"}, "sex": {"female": "woman"},
    "stage": {"stage_3": "stage 3", "stage_4": "stage 4"}, "trend": {"worse": "larger or deeper"},
    "location": {"sacrum": "sacrum", "heel": "heel"}, "amount": {"0": "none", "1": "low", "2": "mid", "3": "high"},
    "basis": {"c": "common practice, no source", "m": "part published, part practice", "p": "published direction"},
    "mode": {"alternating": "alternating"}, "setting_kind": {"kg": "in kg"},
    "pump_state": {"running": "running"}, "bottoming_method": {"hand": "by hand"},
    "origin": {"acquired": "arose on the caseload", "present": "there when the stay began"},
    "bed_mobility": {"immobile": "cannot turn"}, "heel_offloading": {"none": "nothing under the heels"},
    "transfers": {"hoisted": "hoisted"},
}  # fmt: skip
OPTIONS = (
    ("lying", "hybrid_powered", "fits_with_cautions", 1, "reaches the need, very high",
     "no plan for a power cut; heavy",
     "a written plan for a power cut", (3, 2, 3), "c", None),
    ("lying", "alternating_air", "cannot_tell", None, "studied", "check first: smoking not recorded; noisy",
     "an answer to: smoking", (3, 1, 2), "m", None),
    ("lying", "foam", "does_not_fit", None, None, "is not for an injury as deep as the one it would carry; warm",
     "the injury closed", (1, 3, 1), "p", None),
    ("sitting", "cushion_foam", "does_not_fit", None, "light", "serves a need up to at risk, this need is very high",
     None, (1, 3, 1), "c", "No class passes: senior or team decision; interim plan today"),
)  # fmt: skip


def add_sheet(rows: dict[str, list[dict]]) -> None:
    """Everything that a sheet can say, of WHO; the others keep what the lists say of them."""
    rows["policy.need_levels"] = [{"rung": 3, "label": "very high"}, {"rung": 0, "label": "low"}]
    rows["policy.fit_priorities"] = [
        {"fact": "noise_discomfort", "label": "quiet", "listed": 5},
        {"fact": "always", "label": "least costly", "listed": 9},
    ]
    person = next(row for row in rows["state.clients"] if row["client_id"] == WHO)
    person |= {
        "clinician": "K12", "sex": "female", "age_years": 79, "risk_band": "high", "risk_total": 10,
        "risk_scale": "braden", "risk_assessed_on": date(2026, 2, 26), "risk_is_stale": False,
        "has_newer_incomplete": True, "clinician_level": "high", "has_open_injury": True, "hours_seated": 3,
        "longest_sit_min": 1200, "weight_kg": 62, "bed_mobility": "immobile", "heel_offloading": "none",
        "has_declined": True, "declined_heel": True, "declined_sitting": False, "has_held_row": True,
        "held_feeds": "injuries; loans",
    }  # fmt: skip
    ids = {"client_id": WHO}
    rows["audit.reassessments"].append(ids | {"due_on": date(2026, 2, 28), "days_overdue": 2})
    for place, (day, total, agrees) in enumerate(((12, 15, True), (26, 10, False)), start=1):
        rows["risk.scores"].append(ids | {
            "assessment_id": f"A-{place}", "assessed_at": datetime(2026, 2, day, 10), "scale": "braden",
            "recorded_total": 12, "recomputed_total": total, "total_agrees": agrees, "band": "high",
            "is_complete": True, "suits_age": True, "total": total,
        })  # fmt: skip
    rows["risk.scores"].append(
        ids | {"assessment_id": "A-3", "assessed_at": datetime(2026, 2, 27, 10), "scale": "braden",
               "is_complete": False, "suits_age": False}
    )  # fmt: skip
    _add_wounds(rows, ids)
    _add_surfaces(rows, ids)
    for row in rows["fit.need"]:
        if row["client_id"] == WHO:
            row |= {"need_at_least": 3, "reasons": "Braden 10 on 2026-02-26 reads as high", "missing": "risk_rung"}
    rows["fit.need"].append(ids | {"position": "sitting", "need_level": "unknown", "need_at_least": 3, "reasons": "x"})
    rows["fit.provision"].append(ids | {"position": "sitting", "verdict": "unknown", "is_asked": True})
    bed = next(row for row in rows["fit.provision"] if (row["client_id"], row["position"]) == (WHO, "lying"))
    bed |= {"cautions": "its cover is damaged"}
    _add_options(rows, ids)


def _add_options(rows: dict[str, list[dict]], ids: dict[str, str]) -> None:
    for position, surface, verdict, rank, speaks_for, against, change, amounts, basis, note in OPTIONS:
        rows["fit.options"].append(ids | {
            "position": position, "surface_class": surface, "verdict": verdict, "rank": rank,
            "reasons_for": speaks_for, "reasons_against": against, "would_change": change, "basis": basis,
            "is_in_use": surface == "foam", "note": note,
            "check_first": "smoking, a naked flame" if surface == "alternating_air" else None,
        } | dict(zip(("relief", "comfort", "cost"), amounts, strict=True)))  # fmt: skip


def _add_wounds(rows: dict[str, list[dict]], ids: dict[str, str]) -> None:
    wound = ids | {"device_related": False, "has_contradiction": False, "is_pressure": True}
    rows["wounds.open"] += [
        wound | {"injury_id": "W-1", "location": "sacrum", "effective_stage": "stage_4", "present_on_admission": "no",
                 "first_seen_on": date(2026, 1, 30), "needs_offloading": False, "is_full_thickness": True},
        wound | {"injury_id": "W-2", "location": "heel", "side": "left", "effective_stage": "stage_3",
                 "signs_of_infection": True, "first_seen_on": date(2026, 2, 1), "needs_offloading": True,
                 "is_pressure": None, "has_contradiction": True},
    ]  # fmt: skip
    rows["fit.offloading"] += [
        ids | {"injury_id": "W-2", "need_kind": kind, "location": "heel", "side": "left", "reasons": reasons}
        for kind, reasons in (("offloading", "rests on the bed"), ("device", "the device has to be moved"))
    ]
    for look, area in enumerate((7.4, 10.4, 12.6), start=1):
        rows["wounds.course"].append(ids | {
            "injury_id": "W-1", "injury_observation_id": f"O-{look}", "observed_at": datetime(2026, 2, look * 7),
            "look": look, "effective_stage": "stage_4", "area_cm2": area, "push_total": 10 + look, "trend": "worse",
        })  # fmt: skip
    rows["wounds.course"].append(
        ids | {"injury_id": "W-2", "injury_observation_id": "O-9", "observed_at": datetime(2026, 2, 20), "look": 1,
               "effective_stage": "stage_3"}
    )  # fmt: skip
    _add_episodes(rows, ids)


def _add_episodes(rows: dict[str, list[dict]], ids: dict[str, str]) -> None:
    told = ids | {"is_pressure": True, "is_reopened": False, "stays": 1, "origin": "acquired", "worst_stage": "stage_4"}
    rows["wounds.episodes"] += [
        told | {"injury_id": "W-1", "episode": 2, "location": "sacrum", "first_stage": "stage_3", "is_reopened": True,
                "worst_since": date(2026, 2, 21), "has_worsened_here": True, "stays": 2},
        told | {"injury_id": "W-1", "episode": 1, "location": "sacrum", "first_stage": "stage_4",
                "opened_on": date(2025, 6, 1), "healed_on": date(2025, 12, 1), "reopened_on": date(2026, 1, 30),
                "origin": "present"},
    ]  # fmt: skip


def _add_surfaces(rows: dict[str, list[dict]], ids: dict[str, str]) -> None:
    loan = ids | {"owner": "loan_service", "issued_on": date(2025, 11, 3), "days_since_issued": 119}
    rows["state.loans"] += [
        loan | {"loan_id": "L-8", "position": "lying", "surface_class": "alternating_air", "is_where_person_is": False,
                "in_use": False, "mode": "alternating", "setting": 62, "setting_kind": "kg", "cycle_minutes": 10,
                "pump_state": "running", "is_powered": True, "trial_started_on": date(2026, 2, 20)},
        loan | {"loan_id": "L-9", "position": "lying", "surface_class": "foam", "state_is_too_old": True,
                "state_seen_on": date(2026, 1, 30), "bottoming_check": "pass", "bottoming_method": "hand",
                "bottoming_checked_on": date(2026, 2, 12), "is_powered": False},
    ]  # fmt: skip
    rows["fit.conflicts"] += [
        ids | {"position": position, "conflict": "x", "classes": "Static air mattress", "source": "No trial found",
               "says": "practice calls air unsteady, and no trial has measured it"}
        for position in ("lying", "sitting")
    ]  # fmt: skip
    rows["fit.failed_trials"].append(
        ids | {"position": "lying", "surface_class": "foam", "told": "tried to 2025-12-16: not tolerated"}
    )
    rows["fit.person_facts"] += [
        ids | {"position": position, "fact": fact, "is_true": True}
        for position in ("lying", "sitting") for fact in ("always", "noise_discomfort")
    ]  # fmt: skip
    form = ids | {"turning_interval_h": 4, "transfers": "hoisted", "height_cm": 160, "outage_plan": False}
    rows["records.circumstances"] += [
        form | {"circumstances_id": "F-1", "observed_on": date(2026, 2, 1)},
        ids | {"circumstances_id": "F-2", "observed_on": date(2026, 2, 10), "goals_reviewed_on": date(2026, 2, 9)},
    ]
