"""What the page of trends reads, invented: fourteen months of Harrowfen District, a measure for each conclusion."""

from datetime import date

COLUMNS = {
    "policy.measures": "measure VARCHAR, label VARCHAR, counted VARCHAR, out_of VARCHAR, kind VARCHAR, per INTEGER,"
    " good VARCHAR, has_section BOOLEAN, position INTEGER",
    "policy.signals": "rule VARCHAR, position INTEGER",
    "policy.stages": "stage VARCHAR, label VARCHAR, numbered INTEGER, injury_rung INTEGER",
    "policy.transitions": "from_stage VARCHAR, to_stage VARCHAR, transition VARCHAR, why VARCHAR",
    "policy.parameters": "name VARCHAR, amount DECIMAL(18,4)",
    "trends.healing": "first_stage VARCHAR, days INTEGER, injuries INTEGER, at_risk INTEGER, healed INTEGER,"
    " died INTEGER, not_healed DECIMAL(18,4), healed_share DECIMAL(18,4)",
    "trends.months": "month DATE, is_provisional BOOLEAN, injuries_known BOOLEAN",
    "trends.measures": "measure VARCHAR, month DATE, team VARCHAR, numerator INTEGER, denominator INTEGER,"
    " rate DECIMAL(18,4), lower DECIMAL(18,4), upper DECIMAL(18,4), centre DECIMAL(18,4), lower_limit DECIMAL(18,4),"
    " upper_limit DECIMAL(18,4), signal VARCHAR, provisional BOOLEAN, signal_means VARCHAR",
    "trends.conclusions": "measure VARCHAR, position INTEGER, month DATE, measured_on DATE, numerator INTEGER,"
    " denominator INTEGER, rate DECIMAL(18,4), lower DECIMAL(18,4), upper DECIMAL(18,4), centre DECIMAL(18,4),"
    " signal VARCHAR, conclusion VARCHAR, is_trial BOOLEAN, signal_months INTEGER, uncovered_months INTEGER",
    "trends.counted": "injury_id VARCHAR, event VARCHAR, is_on_caseload BOOLEAN",
    "trends.stage_transitions": "month DATE, team VARCHAR, from_stage VARCHAR, to_stage VARCHAR, transition VARCHAR,"
    " looks INTEGER",
    "trends.shareable": "measure VARCHAR, month DATE, team VARCHAR, is_kept_back BOOLEAN, numerator INTEGER,"
    " denominator INTEGER, rate DECIMAL(18,4), lower DECIMAL(18,4), upper DECIMAL(18,4)",
}
# measure, label, counted, out of, kind, per, good, conclusion of the newest month
MEASURES = (
    ("prevalence", "Open pressure injuries", "people with an open injury", "people", "proportion", 1, "down", "worse"),
    ("unseen_injuries", "Open injuries not looked at", "people", "people", "proportion", 1, "down", "too_few"),
    ("new_injuries", "New injuries", "new injuries", "person-days", "density", 1000, "down", "steady"),
    ("closed_injuries", "Healed injuries", "injuries found closed", "injuries", "proportion", 1, "up", "no_data"),
    ("under_provided_lying", "Mattress below need", "people", "people", "proportion", 1, "down", "only_now"),
    ("skin_looks", "Skin looked at", "days of looking", "person-days", "density", 1000, "neither", "change"),
)
MONTHS = tuple(date(2025 + place // 12, place % 12 + 1, 1) for place in range(14))
PROVISIONAL = MONTHS[-2:]
SETTLED = MONTHS[-3]
# First stage, injuries, days, healed, died, Kaplan and Meier's share, healed for certain.
HEALING = (
    (None, 60, 20, 6, 0, 0.9, 0.1), (None, 60, 30, 0, 6, 0.9, 0.1), (None, 60, 70, 24, 0, 0.45, 0.5),
    (None, 60, 90, 3, 0, 0.36, 0.58), ("stage_2", 50, 20, 6, 0, 0.88, 0.12), ("stage_4", 10, 70, 1, 0, 0.5, 0.5),
)
SIGNALS = {"worse": "outside_limit_high", "change": "steady_low"}
TEAMS = (("Harrowfen Rehabilitation", None, 17), ("Quillmoor Community", 0, 58), ("Saltbeck Community", 12, 92))


def ordinary() -> dict[str, list[dict]]:
    """Rows of every relation in COLUMNS, and the labels and blocks that they need."""
    rows: dict[str, list[dict]] = {name: [] for name in COLUMNS}
    names = ("measure", "label", "counted", "out_of", "kind", "per", "good")
    for position, measure in enumerate(MEASURES, start=1):
        facts = dict(zip(names, measure[:7], strict=True))
        rows["policy.measures"].append({**facts, "has_section": True, "position": position})
        _add_months(rows, facts, conclusion=measure[7], position=position)
    rows["trends.months"] = [
        {"month": month, "is_provisional": month in PROVISIONAL, "injuries_known": True} for month in MONTHS
    ]
    rows["policy.signals"] = [{"rule": "outside_limit", "position": 1}, {"rule": "steady", "position": 2}]
    rows["policy.stages"] = [{"stage": "stage_2", "label": "stage 2", "numbered": 2}]
    rows["policy.transitions"] = [
        {"from_stage": "closed_stage_4", "to_stage": "stage_2", "transition": "error", "why": "A scar stays deep"}
    ]
    rows["trends.stage_transitions"] = [
        {"month": SETTLED, "from_stage": "closed_stage_4", "to_stage": "stage_2", "transition": "error", "looks": 1}
    ]
    names = ("first_stage", "injuries", "days", "healed", "died", "not_healed", "healed_share")
    rows["trends.healing"] = [dict(zip(names, told, strict=True)) for told in HEALING]
    rows["trends.counted"] = [{"injury_id": "W-1", "event": "found", "is_on_caseload": False}]
    limits = {"trend_baseline_months": 12, "trend_baseline_events": 12, "trend_provisional_months": 2,
              "injury_seen_within_days": 28, "small_number_from": 1, "small_number_to": 4}  # fmt: skip
    rows["policy.parameters"] = [{"name": name, "amount": amount} for name, amount in limits.items()]
    for origin in ("new", "acquired"):
        rows["trends.measures"] += [
            {"measure": f"{origin}_injuries_stage_2", "month": month, "numerator": 3, "provisional": False}
            for month in MONTHS
        ]
    return rows


def _add_months(rows: dict[str, list[dict]], facts: dict, *, conclusion: str, position: int) -> None:
    told = {"measure": facts["measure"], "position": position, "conclusion": conclusion, "is_trial": False}
    if conclusion == "no_data":
        rows["trends.conclusions"].append({**told, "signal_months": 0, "uncovered_months": 0})
        return
    figures = {"numerator": 24, "denominator": 238, "rate": 0.1008, "lower": 0.0687, "upper": 0.1456, "centre": 0.08}
    if conclusion == "only_now":
        now = {**figures, "centre": None, "month": date(2026, 3, 1)}
        rows["trends.conclusions"].append(
            {**told, **now, "measured_on": date(2026, 3, 2), "signal_months": 0, "uncovered_months": 0}
        )
        rows["trends.measures"].append({**now, "measure": facts["measure"], "provisional": True})
        return
    signal = SIGNALS.get(conclusion)
    rows["trends.conclusions"].append({
        **told, **figures, "month": SETTLED, "measured_on": date(2025, 12, 31), "signal": signal,
        "signal_months": int(signal is not None), "uncovered_months": 0,
    })  # fmt: skip
    for month in MONTHS:
        speaks = signal if month == SETTLED else None
        rows["trends.measures"].append({
            **figures, "measure": facts["measure"], "month": month, "lower_limit": 0.02, "upper_limit": 0.14,
            "provisional": month in PROVISIONAL, "signal": speaks, "signal_means": conclusion if speaks else None,
        })  # fmt: skip
    for team, numerator, denominator in TEAMS:
        rows["trends.shareable"].append({
            "measure": facts["measure"], "month": SETTLED, "team": team, "is_kept_back": numerator is None,
            "numerator": numerator, "denominator": denominator,
            **({} if numerator is None else {"rate": 0.1, "lower": 0.05, "upper": 0.2}),
        })  # fmt: skip


LABELS = {
    "signal": {
        "outside_limit_high": "above the upper limit", "outside_limit_low": "below the lower limit",
        "steady_high": "seven months or more steadily rising", "steady_low": "seven months or more steadily falling",
    },
    "stage": {"stage_2": "stage 2", "stage_4": "stage 4"},
}  # fmt: skip
BLOCKS = [
    {"block_id": rule, "kind": "signal", "file": "measures.toml", "source": "A published rule",
     "signed_off_on": date(2026, 1, 5)}
    for rule in ("outside_limit", "steady")
]  # fmt: skip
