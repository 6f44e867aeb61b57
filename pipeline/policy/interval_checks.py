"""What can be wrong with an interval: how soon it asks for the next score, and when it holds."""

from __future__ import annotations

from collections.abc import Mapping

from pipeline.policy.model import Block, Policy
from pipeline.policy.reading import PolicyFile
from pipeline.policy.shapes import CARE_SETTINGS, CHANGE_KINDS, RUNGS

# Each kind of interval that every setting needs, and the file that holds it.
HOLDS = {"first": "intervals.toml", "routine": "intervals.toml", "wound": "intervals.toml", "change": "changes.toml"}
TERMS = ("within_hours", "within_days", "every_stay_days")
# What a schedule is for: certain days of a stay, or one scale.
ONLY_OF_A_SCHEDULE = ("stay_day_from", "stay_day_to", "every_stay_days", "scale")


def judge(block: Block, file: PolicyFile) -> None:
    """PolicyUnsound for the first thing in an interval that does not fit together."""
    values = block.values
    if sum(term in values for term in TERMS) != 1:
        raise file.unsound(
            "it needs either within_hours or within_days, or every_stay_days", block=block.id, todo="Give one of them"
        )
    if any(values.get(term, 1) < (1 if term == "every_stay_days" else 0) for term in TERMS):
        raise file.unsound("it is due before it begins", block=block.id, todo="Give a number above 0")
    if ("change_kind" in values) != (values["kind"] == "change"):
        raise file.unsound(
            'kind "change" has a change_kind and no other kind has one', block=block.id,
            todo=f"Use one of: {', '.join(CHANGE_KINDS)}",
        )
    if any(key in values for key in ONLY_OF_A_SCHEDULE) != (values["kind"] == "schedule"):
        raise file.unsound(
            'kind "schedule" is for days of a stay or for one scale, and no other kind is', block=block.id,
            todo=f"Give one of {', '.join(ONLY_OF_A_SCHEDULE)}, or use another kind",
        )
    if values.get("stay_day_from", 0) > values.get("stay_day_to", values.get("stay_day_from", 0)):
        raise file.unsound("stay_day_from comes after stay_day_to", block=block.id, todo="Mend one of them")
    judge_rung(block, file)


def judge_rung(block: Block, file: PolicyFile) -> None:
    """PolicyUnsound for a rung that is not on the ladder."""
    if block.values.get("risk_rung", 0) not in RUNGS:
        raise file.unsound("risk_rung is not 0 to 3", block=block.id, todo="Use the ladder of need.toml")


def check(policy: Policy, *, files: Mapping[str, PolicyFile]) -> None:
    """PolicyUnsound for a setting or rung without a line, or a schedule for a scale that is not there."""
    intervals = [block for block in policy.blocks if block.kind == "interval"]
    # A setting without a line would make a person's clock "cannot tell" for ever, and nobody would see why.
    for kind, name in HOLDS.items():
        held = [_place(block) for block in intervals if block.values["kind"] == kind]
        _refuse_gap(held, what=f'[[interval]] of kind "{kind}"', file=files[name])
    limits = [_place(block) for block in policy.blocks if block.kind == "score_age_limit"]
    _refuse_gap(limits, what="[[score_age_limit]]", file=files["intervals.toml"])
    scales = {block.id for block in policy.blocks if block.kind == "scale"}
    for block in (block for block in intervals if block.values.get("scale", "") not in {"", *scales}):
        raise files[block.file].unsound(
            f"no scale is called {block.values['scale']}", block=block.id,
            todo=f"Use one of: {', '.join(sorted(scales))}",
        )


def _place(block: Block) -> tuple[str, int | None]:
    return block.values["care_setting"], block.values.get("risk_rung")


def _refuse_gap(held: list[tuple[str, int | None]], *, what: str, file: PolicyFile) -> None:
    for setting in CARE_SETTINGS:
        rungs = {rung for place, rung in held if place == setting}
        missing = [] if None in rungs else [rung for rung in RUNGS if rung not in rungs]
        if missing:
            raise file.unsound(
                f"no {what} for {setting} at risk rung {', '.join(map(str, missing))}", todo="Add one for each"
            )
