"""The `policy.*` relations as Arrow tables: what SQL and pages may read of the policy on one day."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import duckdb
import pyarrow as pa

from pipeline.feeds.reasons import REASONS
from pipeline.feeds.wound_codes import CODES
from pipeline.policy import calendar, choosing, fact_limits, local_changes, measuring, scoring, subsumption
from pipeline.warehouse import arrow_table

if TYPE_CHECKING:
    from pipeline.policy.model import Block, Policy

TEXT, WHOLE, FLAG, DAY = pa.string(), pa.int32(), pa.bool_(), pa.date32()
AMOUNT = pa.decimal128(18, 4)

# Names and order are what analysts rely on; a new column goes to the end.
COLUMNS: dict[str, dict[str, pa.DataType]] = {
    "blocks": {
        "block_id": TEXT, "kind": TEXT, "file": TEXT, "basis": TEXT, "source": TEXT, "effective_from": DAY,
        "signed_off_on": DAY, "signed_off_role": TEXT,
    },
    "scales": {
        "scale": TEXT, "effective_from": DAY, "effective_to": DAY, "label": TEXT, "worse": TEXT, "min_total": AMOUNT,
        "max_total": AMOUNT, "min_age_months": WHOLE, "max_age_months": WHOLE, "outcome": TEXT,
        "care_settings": TEXT,
    },
    "scale_items": {
        "scale": TEXT, "effective_from": DAY, "effective_to": DAY, "item": TEXT, "label": TEXT, "low": AMOUNT,
        "high": AMOUNT, "position": WHOLE, "is_optional": FLAG, "item_group": TEXT, "group_max": AMOUNT,
        "lapses": FLAG,
    },
    "scale_scores": {
        "scale": TEXT, "effective_from": DAY, "effective_to": DAY, "item": TEXT, "score": AMOUNT, "points": AMOUNT,
    },
    "scale_bands": {
        "scale": TEXT, "effective_from": DAY, "effective_to": DAY, "band": TEXT, "label": TEXT, "from_total": AMOUNT,
        "to_total": AMOUNT, "risk_rung": WHOLE, "basis": TEXT, "source": TEXT, "step": WHOLE,
    },
    "setting_bands": {
        "scale": TEXT, "effective_from": DAY, "effective_to": DAY, "care_setting": TEXT, "band": TEXT, "label": TEXT,
        "from_total": AMOUNT, "to_total": AMOUNT, "risk_rung": WHOLE, "basis": TEXT, "source": TEXT,
    },
    "surface_classes": {
        "surface_class": TEXT, "position": TEXT, "label": TEXT, "is_active": FLAG, "is_pump_fed": FLAG,
        "is_powered": FLAG, "is_overlay": FLAG, "risk_level_max": WHOLE, "injury_stage_max": WHOLE, "relief": WHOLE,
        "comfort": WHOLE, "cost": WHOLE, "listed": WHOLE,
    },
    "class_capabilities": {
        "surface_class": TEXT, "capability": TEXT, "amount": WHOLE, "basis": TEXT, "polarity": TEXT,
    },
    "locations": {
        "location": TEXT, "label": TEXT, "loads_lying": TEXT, "loads_sitting": TEXT, "is_trunk_or_pelvis": FLAG,
        "needs_offloading": FLAG, "is_device_site": FLAG, "turning_surface": TEXT,
    },
    "stages": {"stage": TEXT, "label": TEXT, "injury_rung": WHOLE, "is_full_thickness": FLAG, "numbered": WHOLE},
    "push_scores": {
        "push_score": TEXT, "part": TEXT, "code": TEXT, "from_area": AMOUNT, "counts_from": AMOUNT, "score": WHOLE,
    },
    "need_levels": {"rung": WHOLE, "need_level": TEXT, "label": TEXT},
    "need_facts": {"fact": TEXT, "label": TEXT, "loads": TEXT, "risk_rung": WHOLE},
    "score_age_limits": {"care_setting": TEXT, "risk_rung": WHOLE, "max_age_days": WHOLE},
    "intervals": {
        "interval_id": TEXT, "kind": TEXT, "care_setting": TEXT, "risk_rung": WHOLE, "within_hours": WHOLE,
        "within_days": WHOLE, "change_kind": TEXT, "stay_day_from": WHOLE, "stay_day_to": WHOLE,
        "every_stay_days": WHOLE, "scale": TEXT,
    },
    "rules": {
        "rule": TEXT, "about": TEXT, "family": TEXT, "severity": TEXT, "title": TEXT, "consider": TEXT, "basis": TEXT,
        "source": TEXT, "never_softened": FLAG, "since_column": TEXT, "applies_to": TEXT, "position": WHOLE,
        "statement": TEXT, "clears": TEXT, "mends": TEXT, "list_name": TEXT, "applies_when": TEXT,
        "service_sentence": TEXT, "always_in_rows": FLAG,
    },
    "rule_subsumes": {"rule": TEXT, "subsumes": TEXT},
    "rule_softening": {"rule": TEXT, "softened_by": TEXT},
    "rules_switched_off": {"rule": TEXT, "title": TEXT, "why": TEXT, "effective_from": DAY},
    "local_changes": local_changes.COLUMNS,
    "severities": {"severity": TEXT, "position": WHOLE, "due_days": WHOLE, "day_kind": TEXT},
    "calendar": {"day": DAY, "working_day_number": WHOLE},
    "labels": {"kind": TEXT, "code": TEXT, "label": TEXT},
    "parameters": {"name": TEXT, "amount": AMOUNT},
    "fact_ages": fact_limits.wide_columns(whole=WHOLE, amount=AMOUNT, text=TEXT),
    "fact_limits": {
        "column_name": TEXT, "max_age_days": WHOLE, "keeps_when_worse": TEXT, "keeps_below": AMOUNT,
        "keeps_from": AMOUNT, "basis": TEXT, "source": TEXT,
    },
    **measuring.COLUMNS,
    "wound_codes": {
        "code": TEXT, "system": TEXT, "location": TEXT, "side": TEXT, "stage": TEXT, "active_code": TEXT,
        "is_active": FLAG, "reading": TEXT, "basis": TEXT, "source": TEXT,
    },
    **choosing.COLUMNS,
}
# The id of these kinds becomes the first column of the relation; the other columns are keys of the block.
PLAIN = {
    "push_scores": ("push_score", "push_score"),
    "locations": ("location", "location"), "stages": ("stage", "stage"), "need_levels": ("need_level", "need_level"),
    "need_facts": ("need_fact", "fact"), "intervals": ("interval", "interval_id"),
    "score_age_limits": ("score_age_limit", ""), "severities": ("severity", "severity"),
}
# Kinds whose own label is the plain word for their id.
LABELLED = {
    "scale": "scale", "surface_class": "surface_class", "capability": "capability", "location": "location",
    "stage": "stage", "need_level": "need_level", "need_fact": "need_fact", "severity": "severity",
    "parameter": "parameter", "measure": "measure", "fit_fact": "fit_fact", "fit_priority": "fit_priority",
}

# The word that pages use for each kind of reason.
REASON_KINDS = {"held": "held_code", "refused": "refusal", "waiting": "waiting_code"}


def build(policy: Policy, as_of: datetime.date) -> dict[str, pa.Table]:
    """Every relation as it holds on as_of, and scale blocks of all dates up to it: a score is judged by its own day."""
    rows = {name: _plain(policy, as_of, kind=kind, id_column=column) for name, (kind, column) in PLAIN.items()}
    rows["blocks"] = _blocks(policy, as_of)
    rows.update(scoring.rows(policy.versions("scale", as_of)))
    rows.update(_classes(policy, as_of))
    rows.update(_rules(policy, as_of))
    rows.update(measuring.rows(policy, as_of))
    rows.update(choosing.rows(policy, as_of))
    rows.update(fact_limits.build(policy, as_of))
    holidays = {day for block in policy.in_force("holidays", as_of) for day in block.values["days"]}
    rows["calendar"] = calendar.days(until=as_of, holidays=holidays)
    rows["local_changes"] = local_changes.rows(policy, as_of)
    rows["wound_codes"] = [{**vars(code), **code.says, "is_active": code.is_active} for code in CODES.values()]
    rows["labels"] = _labels(policy, as_of)
    rows["parameters"] = [{"name": name, "amount": amount} for name, amount in policy.parameters(as_of).items()]
    with duckdb.connect() as con:
        return {name: _table(con, rows[name], kinds) for name, kinds in COLUMNS.items()}


def _table(con: duckdb.DuckDBPyConnection, rows: list[dict[str, Any]], kinds: dict[str, pa.DataType]) -> pa.Table:
    columns = {}
    for name, kind in kinds.items():
        values = [row.get(name) for row in rows]
        if kind == AMOUNT:
            values = [None if value is None else Decimal(str(value)) for value in values]
        columns[name] = values
    return arrow_table(con, columns, kinds=kinds)


def _plain(policy: Policy, as_of: datetime.date, *, kind: str, id_column: str) -> list[dict[str, Any]]:
    return [{**block.values, **({id_column: block.id} if id_column else {})} for block in policy.in_force(kind, as_of)]


def _blocks(policy: Policy, as_of: datetime.date) -> list[dict[str, Any]]:
    kinds = sorted({block.kind for block in policy.blocks})
    held: list[Block] = []
    for kind in kinds:
        held.extend(policy.versions(kind, as_of) if kind == "scale" else policy.in_force(kind, as_of))
    held.sort(key=lambda block: (block.kind, block.id, block.effective_from))
    return [
        {
            "block_id": block.id, "kind": block.kind, "file": block.file, "basis": block.basis, "source": block.source,
            "effective_from": block.effective_from, "signed_off_on": block.signed_off_on,
            "signed_off_role": block.signed_off_role or None,
        }
        for block in held
    ]


def _classes(policy: Policy, as_of: datetime.date) -> dict[str, list[dict[str, Any]]]:
    polarity = {block.id: block.values["polarity"] for block in policy.in_force("capability", as_of)}
    classes, capabilities = [], []
    for block in policy.in_force("surface_class", as_of):
        amounts = {name: int(cell[0]) for name, cell in block.values["capabilities"].items()}
        floors = {name: amounts[name] for name in ("risk_level_max", "injury_stage_max")}
        classes.append({**block.values, **floors, "surface_class": block.id, "listed": len(classes) + 1})
        capabilities.extend(
            {
                "surface_class": block.id, "capability": name, "amount": int(cell[0]), "basis": cell[1],
                "polarity": polarity[name],
            }
            for name, cell in block.values["capabilities"].items()
        )
    return {"surface_classes": classes, "class_capabilities": capabilities}


def _rules(policy: Policy, as_of: datetime.date) -> dict[str, list[dict[str, Any]]]:
    rules = policy.rules(as_of)
    titles = {block.id: block.values["title"] for block in policy.in_force("rule", as_of)}
    return {
        "rules": [{**vars(rule), "statement": rule.when} for rule in rules],
        "rule_softening": [
            {"rule": rule.rule, "softened_by": fact} for rule in rules for fact in sorted(rule.softened_by)
        ],
        "rule_subsumes": [
            {"rule": rule, "subsumes": hidden}
            for rule, hidden in subsumption.closure({rule.rule: rule.subsumes for rule in rules})
        ],
        "rules_switched_off": [
            {
                "rule": block.id, "title": titles.get(block.id), "why": block.source,
                "effective_from": block.effective_from,
            }
            for block in policy.switched_off(as_of)
        ],
    }


def _labels(policy: Policy, as_of: datetime.date) -> list[dict[str, Any]]:
    words: dict[tuple[str, str], str] = {}
    for kind, name in LABELLED.items():
        words.update({(name, block.id): block.values.get("label", block.id) for block in policy.in_force(kind, as_of)})
    for block in policy.versions("scale", as_of):
        words.update({("scale_item", item["item"]): item["label"] for item in block.values["items"]})
    for block in policy.in_force("rule", as_of):
        words[("rule", block.id)] = block.values["title"]
    words.update({(REASON_KINDS[reason.kind], reason.code): reason.title for reason in REASONS.values()})
    words.update(measuring.signal_words(policy, as_of))
    for block in policy.in_force("labels", as_of):
        words.update({(block.id, code): label for code, label in block.values["codes"].items()})
    return [{"kind": kind, "code": code, "label": label} for (kind, code), label in sorted(words.items())]
