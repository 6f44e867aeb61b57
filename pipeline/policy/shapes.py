"""What each kind of policy block must and may hold, so that a typing slip is refused instead of being ignored."""

import datetime
from collections.abc import Callable
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from typing import Any

BASES = ("published", "secondary", "common practice", "decision")
ABOUTS = ("client", "injury", "loan")
# In the order in which a person reads them: what can harm today stands first.
FAMILIES = ("safety", "under_provision", "set_up", "whole_day", "review", "records", "upkeep", "step_down")
# Whom a finding sends somebody to: a person, or a piece of equipment that can be seen to without one.
LISTS = ("people", "equipment")
# What may quieten a finding: comfort comes first, or the person has declined that help.
SOFTENERS = ("comfort_first", "declined_lying", "declined_sitting", "declined_heel", "declined_turning")
# What the items of a scale come to: their points added up, or the step of a pathway that the gravest answer leads to.
OUTCOMES = ("sum", "pathway")
# The words that every scale's bands are kept under, from the mildest to the gravest; a band's label is the scale's own.
BANDS = ("not_at_risk", "at_risk", "moderate", "high", "very_high")
# What can change so that an earlier score no longer speaks of a person; "points" are those that count for a while only.
CHANGE_KINDS = ("fall", "surgery", "acute_illness", "weight", "wound", "points")
INTERVAL_KINDS = ("first", "routine", "wound", "change", "schedule")
CARE_SETTINGS = ("acute", "intensive_care", "rehabilitation", "residential_care", "community", "palliative_care")


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool)


def _is_day(value: Any) -> bool:
    return isinstance(value, datetime.date) and not isinstance(value, datetime.datetime)


def _all(judge: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, list) and all(judge(one) for one in value)


# The words on the left are what a message calls the type.
TYPES: dict[str, Callable[[Any], bool]] = {
    "text": lambda value: isinstance(value, str) and bool(value.strip()),
    "whole number": _is_whole,
    "number": _is_number,
    "true or false": lambda value: isinstance(value, bool),
    "day": _is_day,
    "list of days": _all(_is_day),
    "list of numbers": _all(_is_number),
    "list of texts": _all(lambda value: isinstance(value, str)),
    "list of answers": _all(lambda value: isinstance(value, (str, bool))),
    "table": lambda value: isinstance(value, dict),
    "list of tables": _all(lambda value: isinstance(value, dict)),
}
TEXT, WHOLE, NUMBER, FLAG, DAYS = "text", "whole number", "number", "true or false", "list of days"
TEXTS, TABLE, TABLES, ANSWERS = "list of texts", "table", "list of tables", "list of answers"
NUMBERS = "list of numbers"

# Every block has these; `[defaults]` of its file may give all but the id.
COMMON = {"id": TEXT, "effective_from": "day", "basis": TEXT, "source": TEXT}


@dataclass(frozen=True)
class Shape:
    """The keys of one kind of block, the files that may hold it and the words that some of its keys may take."""

    files: tuple[str, ...]
    required: dict[str, str]
    optional: dict[str, str] = field(default_factory=dict)
    choices: dict[str, tuple[str, ...]] = field(default_factory=dict)
    # A rule, a scale and a surface class say themselves where they come from; no default of the file speaks for them.
    has_own_source: bool = False

    def allows_file(self, name: str) -> bool:
        """Whether a block of this kind may stand in the file of that relative name."""
        return any(fnmatchcase(name, pattern) for pattern in self.files)


RUNGS = range(4)
YES_NO = ("yes", "no")
SHAPES: dict[str, Shape] = {
    "scale": Shape(
        files=("scales/*.toml",),
        required={
            "label": TEXT, "worse": TEXT, "min_age_months": WHOLE, "age_source": TEXT, "licence": TEXT,
            "items": TABLES, "bands": TABLES,
        },
        optional={
            "min_total": WHOLE, "max_total": WHOLE, "max_age_months": WHOLE, "outcome": TEXT, "groups": TABLES,
            "total_loinc": TEXT, "panel_loinc": TEXT, "care_settings": TEXTS, "setting_bands": TABLES,
        },
        choices={"worse": ("low", "high"), "outcome": OUTCOMES},
        has_own_source=True,
    ),
    "capability": Shape(
        files=("classes.toml",), required={"label": TEXT, "polarity": TEXT}, choices={"polarity": ("+", "-")}
    ),
    "surface_class": Shape(
        files=("classes.toml",),
        required={
            "label": TEXT, "position": TEXT, "is_active": FLAG, "is_pump_fed": FLAG, "is_powered": FLAG,
            "is_overlay": FLAG, "relief": WHOLE, "comfort": WHOLE, "cost": WHOLE, "capabilities": TABLE,
        },
        choices={"position": ("lying", "sitting")},
        has_own_source=True,
    ),
    "location": Shape(
        files=("need.toml",),
        required={
            "label": TEXT, "loads_lying": TEXT, "loads_sitting": TEXT, "needs_offloading": FLAG, "is_device_site": FLAG,
        },
        optional={"is_trunk_or_pelvis": FLAG, "turning_surface": TEXT},
        choices={
            "loads_lying": YES_NO, "loads_sitting": (*YES_NO, "when_seated"), "turning_surface": ("back", "by_side"),
        },
    ),
    "stage": Shape(
        files=("need.toml",),
        required={"label": TEXT},
        optional={"injury_rung": WHOLE, "is_full_thickness": FLAG, "numbered": WHOLE},
    ),
    "push_score": Shape(
        files=("push.toml",),
        required={"part": TEXT, "score": WHOLE},
        optional={"code": TEXT, "from_area": NUMBER, "counts_from": NUMBER},
        choices={"part": ("area", "exudate", "tissue")},
    ),
    "need_level": Shape(files=("need.toml",), required={"label": TEXT, "rung": WHOLE}),
    "need_fact": Shape(
        files=("need.toml",),
        required={"label": TEXT, "loads": TEXT},
        optional={"risk_rung": WHOLE},
        choices={"loads": ("lying", "sitting", "both", "by_location")},
    ),
    "parameter": Shape(
        files=(
            "fit.toml", "need.toml", "measures.toml", "changes.toml", "wounds.toml", "options.toml", "local.toml",
        ),
        required={"amount": NUMBER},
        optional={"unit": TEXT, "label": TEXT},
    ),
    "fact": Shape(
        files=("facts.toml",),
        required={},
        optional={"max_age_days": WHOLE, "keeps_when_worse": ANSWERS, "keeps_below": NUMBER, "keeps_from": NUMBER},
    ),
    "interval": Shape(
        files=("intervals.toml", "changes.toml", "schedules.toml"),
        required={"kind": TEXT, "care_setting": TEXT},
        optional={
            "risk_rung": WHOLE, "within_hours": WHOLE, "within_days": WHOLE, "change_kind": TEXT,
            "stay_day_from": WHOLE, "stay_day_to": WHOLE, "every_stay_days": WHOLE, "scale": TEXT,
        },
        choices={"kind": INTERVAL_KINDS, "care_setting": CARE_SETTINGS, "change_kind": CHANGE_KINDS},
    ),
    "score_age_limit": Shape(
        files=("intervals.toml",),
        required={"care_setting": TEXT, "risk_rung": WHOLE, "max_age_days": WHOLE},
        choices={"care_setting": CARE_SETTINGS},
    ),
    "severity": Shape(
        files=("severities.toml",),
        required={"label": TEXT, "position": WHOLE, "due_days": WHOLE, "day_kind": TEXT},
        choices={"day_kind": ("working", "calendar")},
    ),
    "holidays": Shape(files=("severities.toml",), required={"days": DAYS}),
    "measure": Shape(
        files=("measures.toml",),
        required={"label": TEXT, "counted": TEXT, "out_of": TEXT, "kind": TEXT, "per": WHOLE, "good": TEXT},
        optional={"baseline_from": "day", "has_section": FLAG},
        choices={"kind": ("proportion", "density"), "good": ("up", "down", "neither")},
    ),
    "signal": Shape(
        files=("measures.toml",),
        required={"points": WHOLE, "out_of": WHOLE, "words_high": TEXT, "words_low": TEXT},
        optional={"beyond_sigmas": NUMBER},
    ),
    "transition": Shape(files=("transitions.toml",), required={"to": TABLE, "why": TEXT}, optional={"decided": TEXTS}),
    "fit_fact": Shape(files=("options.toml",), required={"label": TEXT}),
    "fit_criterion": Shape(
        files=("options.toml",),
        required={"kind": TEXT, "fact": TEXT, "says": TEXT},
        optional={
            "classes": TEXTS, "flag": TEXT, "capability": TEXT, "from": WHOLE, "position": TEXT, "would_change": TEXT,
            "asks_when_blank": FLAG,
        },
        choices={
            "kind": ("stop", "short", "caution", "condition", "conflict", "limit", "strength"),
            "flag": ("is_active", "is_pump_fed", "is_powered", "is_overlay"), "position": ("lying", "sitting"),
        },
    ),
    "fit_priority": Shape(
        files=("options.toml",),
        required={"label": TEXT},
        optional={
            "fact": TEXT, "capability": TEXT, "good": WHOLE, "bad": WHOLE, "says_for": TEXT, "says_against": TEXT,
        },
    ),
    "labels": Shape(files=("labels.toml",), required={"codes": TABLE}),
    "rule": Shape(
        files=("rules/*.toml",),
        required={
            "about": TEXT, "family": TEXT, "when": TEXT, "clears": TEXT, "severity": TEXT, "title": TEXT,
            "consider": TEXT,
        },
        optional={
            "since": TEXT, "applies_to": TEXT, "applies_when": TEXT, "never_softened": FLAG, "softened_by": TEXTS,
            "subsumes": TEXTS, "parameters": TABLE, "mends": TEXT, "list": TEXT, "service_sentence": TEXT,
            "always_in_rows": FLAG,
        },
        choices={"about": ABOUTS, "family": FAMILIES, "applies_to": ("adult",), "list": LISTS},
        has_own_source=True,
    ),
}
# An item takes each whole score from low to high, or those that `scores` lists. `points`: what a score of 1 is worth.
# `lapses`: its points count for a while only, and a score that holds them is due again by then.
ITEM_KEYS = (
    {"item": TEXT, "label": TEXT},
    {
        "low": WHOLE, "high": WHOLE, "scores": NUMBERS, "points": NUMBER, "is_optional": FLAG, "group": TEXT,
        "loinc": TEXT, "lapses": FLAG,
    },
)
GROUP_KEYS = ({"group": TEXT, "max_points": NUMBER}, {})
BAND_KEYS = (
    {"band": TEXT, "label": TEXT, "risk_rung": WHOLE, "basis": TEXT, "source": TEXT},
    {"from_total": NUMBER, "to_total": NUMBER, "step": WHOLE},
)
# The cut-offs of one setting: a whole set of bands, in place of the scale's own for whoever is there.
SETTING_BAND_KEYS = (
    {**BAND_KEYS[0], "care_setting": TEXT, "from_total": NUMBER, "to_total": NUMBER},
    {},
)
