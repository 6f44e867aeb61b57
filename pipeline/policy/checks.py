"""Cross-checks between blocks: what each block alone cannot know is wrong."""

from collections.abc import Mapping
from typing import Any

from pipeline.feeds.columns import FEEDS
from pipeline.policy import choosing, fact_limits, interval_checks, measuring, scale_checks
from pipeline.policy.model import Block, Policy
from pipeline.policy.reading import PolicyFile
from pipeline.policy.shapes import RUNGS, SHAPES


def _codes(feed: str, name: str) -> tuple[str, ...]:
    return next(tuple(column.codes) for column in FEEDS[feed].columns if column.name == name)


# Relations and tests name these; an override file that drops one would leave people without a class, a due day or an
# age limit.
RELIED_ON = {
    "severity": ("urgent", "soon", "routine"),
    "need_level": ("low", "at_risk", "high", "very_high"),
    "surface_class": tuple(code for code in _codes("loans", "surface_class") if code != "not_recorded"),
    "stage": _codes("injuries", "stage"),
    "location": _codes("injuries", "location"),
    "fact": tuple(fact_limits.ASKED),
    **choosing.RELIED_ON,
    **measuring.RELIED_ON,
}
FLOORS = ("risk_level_max", "injury_stage_max")


def check(policy: Policy, *, files: Mapping[str, PolicyFile]) -> None:
    """PolicyUnsound for the first thing that does not fit together."""
    _no_block_twice(policy, files)
    _nothing_dropped(policy, files)
    for block in policy.blocks:
        if block.kind in JUDGES:
            JUDGES[block.kind](block, files[block.file])
    _capabilities_known(policy, files)
    choosing.check(policy, files=files)
    interval_checks.check(policy, files=files)
    _local_parameters_known(policy, files)


def _no_block_twice(policy: Policy, files: Mapping[str, PolicyFile]) -> None:
    seen: dict[tuple, Block] = {}
    for block in policy.blocks:
        key = (block.kind, block.id, block.effective_from, block.is_local)
        if key in seen:
            raise files[block.file].unsound(
                f"a second [[{block.kind}]] of that id from {block.effective_from} (the first is in {seen[key].file})",
                block=block.id, todo="Give it an id of its own, or a later effective_from if it replaces the first",
            )
        seen[key] = block


def _nothing_dropped(policy: Policy, files: Mapping[str, PolicyFile]) -> None:
    for kind, ids in RELIED_ON.items():
        file = files[SHAPES[kind].files[0]]
        held = {block.id for block in policy.blocks if block.kind == kind}
        for missing in (name for name in ids if name not in held):
            raise file.unsound(f"[[{kind}]] {missing} is missing", todo=f"Add a [[{kind}]] block with that id")
        for unknown in sorted(held - set(ids)):
            raise file.unsound(f"no {kind} is called that", block=unknown, todo=f"Use one of: {', '.join(ids)}")


def _judge_class(block: Block, file: PolicyFile) -> None:
    cells = block.values["capabilities"]
    for name, cell in cells.items():
        if not isinstance(cell, str) or len(cell) != 2 or cell[0] not in "0123" or cell[1] not in "pmc":
            raise file.unsound(
                f"capability {name} is no amount 0 to 3 with p, m or c", block=block.id, todo='Write it like "2c"'
            )
    for name in (floor for floor in FLOORS if floor not in cells):
        raise file.unsound(f"capability {name} is missing", block=block.id, todo="Say what need the class can carry")
    for name in (name for name in ("relief", "comfort", "cost") if block.values[name] not in RUNGS):
        raise file.unsound(f"{name} is not 0 to 3", block=block.id, todo="Use 0 none, 1 low, 2 mid, 3 high")


def _judge_labels(block: Block, file: PolicyFile) -> None:
    for code, label in block.values["codes"].items():
        if not isinstance(label, str) or not label.strip():
            raise file.unsound(f"code {code} has no words", block=block.id, todo="Write the plain words for it")


def _capabilities_known(policy: Policy, files: Mapping[str, PolicyFile]) -> None:
    known = {block.id for block in policy.blocks if block.kind == "capability"}
    for block in (block for block in policy.blocks if block.kind == "surface_class"):
        for name in (name for name in block.values["capabilities"] if name not in known):
            raise files[block.file].unsound(
                f"capability {name} is not known", block=block.id, todo="Add a [[capability]] for it, or mend the name"
            )


def _local_parameters_known(policy: Policy, files: Mapping[str, PolicyFile]) -> None:
    shipped = {block.id: block.file for block in policy.blocks if block.kind == "parameter" and not block.is_local}
    declared: dict[str, tuple[str, Any]] = {}
    for block in (block for block in policy.blocks if block.kind == "rule"):
        for name, amount in block.values.get("parameters", {}).items():
            clash = name in shipped or declared.get(name, (block.id, amount))[0] != block.id
            if clash:
                raise files[block.file].unsound(
                    f"the parameter {name} stands in another block too", block=block.id, todo="Give it another name"
                )
            declared[name] = (block.id, amount)
    for block in (block for block in policy.blocks if block.kind == "parameter" and block.is_local):
        if block.id not in shipped and block.id not in declared:
            raise files[block.file].unsound(
                "no parameter is called that", block=block.id,
                todo=f"Use one of: {', '.join(sorted({*shipped, *declared}))}",
            )


JUDGES = {
    "scale": scale_checks.judge,
    "surface_class": _judge_class,
    "interval": interval_checks.judge,
    "score_age_limit": interval_checks.judge_rung,
    "labels": _judge_labels,
    "fact": fact_limits.judge,
    **choosing.JUDGES,
    **measuring.JUDGES,
}
