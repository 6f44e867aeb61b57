"""The policy of the options: which fact speaks for or against which class of surface, and the order of classes."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING, Any

import pyarrow as pa

if TYPE_CHECKING:
    from collections.abc import Mapping

    from pipeline.policy.model import Block, Policy
    from pipeline.policy.reading import PolicyFile

TEXT, WHOLE, FLAG = pa.string(), pa.int32(), pa.bool_()
COLUMNS: dict[str, dict[str, pa.DataType]] = {
    "fit_facts": {"fact": TEXT, "label": TEXT, "listed": WHOLE},
    "fit_criteria": {
        "criterion": TEXT, "listed": WHOLE, "kind": TEXT, "fact": TEXT, "surface_class": TEXT, "position": TEXT,
        "says": TEXT, "would_change": TEXT, "asks_when_blank": FLAG,
    },
    "fit_priorities": {
        "priority": TEXT, "listed": WHOLE, "label": TEXT, "fact": TEXT, "capability": TEXT, "good": WHOLE,
        "bad": WHOLE, "says_for": TEXT, "says_against": TEXT,
    },
}
ALWAYS = "always"
# fit.person_facts works each of these out; a block for another one would be a fact that nobody looks at.
FACTS = (
    ALWAYS, "spine_must_rest", "fire_near", "fire_planned", "power_cut_harms", "lung_disease", "floor_not_fit",
    "fluid_balance_risk", "no_outage_plan", "power_unreliable", "confused_or_restless", "motion_discomfort",
    "noise_discomfort", "cold_discomfort", "heat_discomfort", "wet_skin", "hot_or_wet", "transfers_alone",
    "goal_to_move", "steadiness_matters", "comfort_first", "progressive_condition", "bed_rails", "injury_to_offload",
    "electric_blanket", "deflate_not_taught", "light_person", "heavy_person", "needs_wide_bed",
    "two_turning_surfaces", "shallow_injury", "need_is_highest", "sits_long_on_injury",
)  # fmt: skip
RELIED_ON = {"fit_fact": FACTS}


def rows(policy: Policy, as_of: datetime.date) -> dict[str, list[dict[str, Any]]]:
    """The rows of each relation in COLUMNS as they hold on that day; a criterion has one row for each class."""
    classes = policy.in_force("surface_class", as_of)
    polarity = {block.id: block.values["polarity"] for block in policy.in_force("capability", as_of)}
    return {
        "fit_facts": [
            {"fact": block.id, "label": block.values["label"], "listed": place}
            for place, block in enumerate(policy.in_force("fit_fact", as_of), start=1)
        ],
        "fit_criteria": [
            {
                "asks_when_blank": block.values["kind"] == "stop", **block.values, "criterion": block.id,
                "listed": place, "surface_class": one.id, "position": one.values["position"],
            }
            for place, block in enumerate(policy.in_force("fit_criterion", as_of), start=1)
            for one in classes
            if _means(block, one, polarity)
        ],
        "fit_priorities": [
            {"fact": ALWAYS, **block.values, "priority": block.id, "listed": place}
            for place, block in enumerate(policy.in_force("fit_priority", as_of), start=1)
        ],
    }  # fmt: skip


def _means(criterion: Block, one: Block, polarity: Mapping[str, str]) -> bool:
    said = criterion.values
    if "classes" in said:
        return one.id in said["classes"]
    if "flag" in said:
        return bool(one.values[said["flag"]])
    if "capability" in said:
        cell = one.values["capabilities"].get(said["capability"])
        if cell is None:
            return False
        is_worse_with_more = polarity[said["capability"]] == "-"
        return int(cell[0]) >= said["from"] if is_worse_with_more else int(cell[0]) <= said["from"]
    return one.values["position"] == said["position"]


def judge_criterion(block: Block, file: PolicyFile) -> None:
    """PolicyUnsound unless the block says in exactly one way which classes it means, and a fact that there is."""
    said = block.values
    if sum(name in said for name in ("classes", "flag", "capability", "position")) != 1:
        raise file.unsound(
            "it does not say in one way which classes it means", block=block.id,
            todo="Give one of classes, flag, capability or position",
        )
    if ("capability" in said) != ("from" in said):
        raise file.unsound("capability and from go together", block=block.id, todo="Give both or none")
    _judge_fact(block, file)


def judge_priority(block: Block, file: PolicyFile) -> None:
    """PolicyUnsound unless the words for and against have the amounts they are said from, and the fact is known."""
    for amount, words in (("good", "says_for"), ("bad", "says_against")):
        if (amount in block.values) != (words in block.values):
            raise file.unsound(f"{amount} and {words} go together", block=block.id, todo="Give both or none")
    _judge_fact(block, file)


def _judge_fact(block: Block, file: PolicyFile) -> None:
    fact = block.values.get("fact", ALWAYS)
    if fact not in FACTS:
        raise file.unsound(f"no fact is called {fact}", block=block.id, todo=f"Use one of: {', '.join(FACTS)}")


def check(policy: Policy, *, files: Mapping[str, PolicyFile]) -> None:
    """PolicyUnsound where a block names a class or capability that is not there, or a class has nothing against it."""
    classes = {block.id for block in policy.blocks if block.kind == "surface_class"}
    capabilities = {block.id for block in policy.blocks if block.kind == "capability"}
    spoken_against: set[str] = set()
    for block in (block for block in policy.blocks if block.kind in ("fit_criterion", "fit_priority")):
        file = files[block.file]
        named = block.values.get("classes", [])
        for unknown in (name for name in named if name not in classes):
            raise file.unsound(f"no class is called {unknown}", block=block.id, todo="Mend the name")
        if block.values.get("capability", next(iter(capabilities))) not in capabilities:
            raise file.unsound("no capability is called that", block=block.id, todo="Mend the name")
        if block.values.get("kind") == "limit" and block.values["fact"] == ALWAYS:
            spoken_against.update(named)
    # A class that fits and has nothing against it would read as a recommendation.
    for silent in sorted(classes - spoken_against):
        raise files["options.toml"].unsound(
            f"nothing speaks against {silent}", todo='Add a [[fit_criterion]] of kind "limit" for it'
        )


JUDGES = {"fit_criterion": judge_criterion, "fit_priority": judge_priority}
