"""The policy of the trends: what is counted, when a chart speaks, which stage may follow which, and limits."""

from __future__ import annotations

import csv
import datetime
import functools
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pyarrow as pa

from pipeline.feeds.columns import FEEDS

if TYPE_CHECKING:
    from pipeline.policy.model import Block, Policy
    from pipeline.policy.reading import PolicyFile

TEXT, WHOLE, DAY, FLAG = pa.string(), pa.int32(), pa.date32(), pa.bool_()
# Six places: a share of one in a thousand still has three digits.
LIMIT = pa.decimal128(18, 6)
COLUMNS: dict[str, dict[str, pa.DataType]] = {
    "measures": {
        "measure": TEXT, "label": TEXT, "counted": TEXT, "out_of": TEXT, "kind": TEXT, "per": WHOLE, "good": TEXT,
        "baseline_from": DAY, "has_section": FLAG, "source": TEXT, "position": WHOLE,
    },
    "signals": {"rule": TEXT, "points": WHOLE, "out_of": WHOLE, "beyond_sigmas": LIMIT, "position": WHOLE},
    "transitions": {"from_stage": TEXT, "to_stage": TEXT, "transition": TEXT, "basis": TEXT, "why": TEXT},
    "poisson_limits": {"events": WHOLE, "lower": LIMIT, "upper": LIMIT},
}
STAGES = tuple(next(column.codes for column in FEEDS["injuries"].columns if column.name == "stage"))
# The relations count these; a block for another one would be a line that nobody draws.
MEASURES = (
    "prevalence", "unseen_injuries", "new_injury_people", "acquired_injury_people", "new_injuries", "acquired_injuries",
    "new_full_thickness", "acquired_full_thickness", "worsened_injuries", "closed_injuries", "overdue_reassessments",
    "under_provided_lying", "skin_looks",
    *(f"{origin}_injuries_{stage}" for origin in ("new", "acquired") for stage in STAGES),
)  # fmt: skip
SIGNALS = ("outside_limit", "one_side", "steady", "outer_third")
TO_STAGES = (*(stage for stage in STAGES if stage != "not_staged"), "closed")
FROM_STAGES = ("new", *TO_STAGES[:-1], *(f"closed_{stage}" for stage in TO_STAGES[:-1]))
TRANSITIONS = ("allowed", "review", "error")


def rows(policy: Policy, as_of: datetime.date) -> dict[str, list[dict[str, Any]]]:
    """The rows of each relation in COLUMNS as they hold on that day."""
    measures = policy.in_force("measure", as_of)
    return {
        "measures": [
            {"has_section": False, **block.values, "measure": block.id, "source": block.source, "position": place}
            for place, block in enumerate(measures, start=1)
        ],
        "signals": [
            {**block.values, "rule": block.id, "beyond_sigmas": _decimal(block.values.get("beyond_sigmas")),
             "position": place}
            for place, block in enumerate(policy.in_force("signal", as_of), start=1)
        ],
        "transitions": [
            {
                "from_stage": block.id, "to_stage": stage, "transition": word, "why": block.values["why"],
                "basis": "decision" if stage in block.values.get("decided", ()) else block.basis,
            }
            for block in policy.in_force("transition", as_of) for stage, word in block.values["to"].items()
        ],
        "poisson_limits": poisson_limits(),
    }  # fmt: skip


def signal_words(policy: Policy, as_of: datetime.date) -> dict[tuple[str, str], str]:
    """The plain words of each signal in each direction, as labels of the kind `signal`."""
    return {
        ("signal", f"{block.id}_{way}"): block.values[f"words_{way}"]
        for block in policy.in_force("signal", as_of) for way in ("high", "low")
    }  # fmt: skip


@functools.lru_cache(maxsize=1)
def poisson_limits() -> list[dict[str, Any]]:
    """Exact 95 % limits of a Poisson count (Garwood 1936) from 0 to 2,000 events, to six places.

    They are a table, because the chi-squared quantile that makes them is in neither engine; a test compares each with
    an outside library.
    """
    with Path(__file__).with_name("poisson_limits.csv").open(encoding="utf-8", newline="") as lines:
        return [
            {"events": int(row["events"]), "lower": Decimal(row["lower"]), "upper": Decimal(row["upper"])}
            for row in csv.DictReader(lines)
        ]


def judge_measure(block: Block, file: PolicyFile) -> None:
    """A share is out of one; a density is for some number of person-days."""
    kind, per = block.values["kind"], block.values["per"]
    if per < 1 or (kind == "proportion" and per != 1):
        raise file.unsound(
            "per is 1 for a proportion and at least 1 for a density", block=block.id, todo="Mend per, or kind"
        )


def judge_signal(block: Block, file: PolicyFile) -> None:
    """No rule can ask for more months than it looks at."""
    points, out_of = block.values["points"], block.values["out_of"]
    if not 1 <= points <= out_of:
        raise file.unsound("points is not between 1 and out_of", block=block.id, todo="Mend points, or out_of")
    needs_sigmas = block.id in ("outside_limit", "outer_third")
    if needs_sigmas and block.values.get("beyond_sigmas", 0) <= 0:
        raise file.unsound("beyond_sigmas is missing or not above 0", block=block.id, todo="Say how far out")


def judge_transition(block: Block, file: PolicyFile) -> None:
    """Each stage that a look may say has its word, so that no step of a record passes unjudged."""
    cells = block.values["to"]
    wanted = TO_STAGES[:-1] if block.id == "new" else TO_STAGES
    for stage in (stage for stage in wanted if stage not in cells):
        raise file.unsound(f"it does not say what a step to {stage} is", block=block.id, todo="Add it to its table")
    for stage in (stage for stage in (*cells, *block.values.get("decided", ())) if stage not in wanted):
        raise file.unsound(f"no look says {stage}", block=block.id, todo=f"Use one of: {', '.join(wanted)}")
    for stage in (stage for stage, word in cells.items() if word not in TRANSITIONS):
        raise file.unsound(
            f"the step to {stage} has an unknown word", block=block.id, todo=f"Use one of: {', '.join(TRANSITIONS)}"
        )


def _decimal(amount: float | None) -> Decimal | None:
    return None if amount is None else Decimal(str(amount))


RELIED_ON = {"measure": MEASURES, "signal": SIGNALS, "transition": FROM_STAGES}
JUDGES = {"measure": judge_measure, "signal": judge_signal, "transition": judge_transition}
