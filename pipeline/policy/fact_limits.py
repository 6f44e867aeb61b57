"""How long each question of the circumstances form is trusted, and which answers stand past that."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING, Any

from pipeline.feeds.columns import FEEDS, Column

if TYPE_CHECKING:
    from pipeline.policy.model import Block, Policy
    from pipeline.policy.reading import PolicyFile

# What names, dates and versions a form, and is no answer on it.
NOT_ASKED = ("circumstances_id", "client_id", "observed_on", "updated_at", "record_status")
ASKED: dict[str, Column] = {
    column.name: column for column in FEEDS["circumstances"].columns if column.name not in NOT_ASKED
}
NUMBERS = ("integer", "number")
WORDS = ("boolean", "code")
# Numbers have no codes, so what is worse about them is a side of a limit.
LIMITS = ("keeps_below", "keeps_from")


def wide_columns(*, whole: Any, amount: Any, text: Any) -> dict[str, Any]:
    """Names and types of policy.fact_ages: the days of each question, and what of it is kept past them."""
    ages = dict.fromkeys(ASKED, whole)
    limits = {f"{name}_{limit}": amount for name, column in ASKED.items() if column.type in NUMBERS for limit in LIMITS}
    words = {f"{name}_keeps": text for name, column in ASKED.items() if column.type in WORDS}
    return {**ages, **limits, **words}


def build(policy: Policy, as_of: datetime.date) -> dict[str, list[dict[str, Any]]]:
    """Rows of policy.fact_ages, one wide row that needs no join for each question, and of policy.fact_limits."""
    blocks = policy.in_force("fact", as_of)
    wide: dict[str, Any] = {}
    for block in blocks:
        wide[block.id] = block.values.get("max_age_days")
        wide.update({f"{block.id}_{limit}": block.values[limit] for limit in LIMITS if limit in block.values})
        if ASKED[block.id].type in WORDS:
            wide[f"{block.id}_keeps"] = _kept(block)
    return {"fact_ages": [wide], "fact_limits": [_long(block) for block in blocks]}


def judge(block: Block, file: PolicyFile) -> None:
    """PolicyUnsound when a [[fact]] keeps an answer that its question cannot have."""
    column = ASKED.get(block.id)
    if column is None:
        raise file.unsound("no question is called that", block=block.id, todo="Use a column of the circumstances feed")
    answers = (True, False) if column.type == "boolean" else tuple(column.codes)
    for answer in block.values.get("keeps_when_worse", ()):
        # True equals 1 in Python, so the type is compared too.
        if not any(answer == known and type(answer) is type(known) for known in answers):
            raise file.unsound("keeps_when_worse has no such answer", block=block.id, todo="Use the feed's own codes")
    if column.type not in NUMBERS and any(limit in block.values for limit in LIMITS):
        raise file.unsound("a limit is set for what is no number", block=block.id, todo="Use keeps_when_worse")


def _long(block: Block) -> dict[str, Any]:
    return {
        **block.values, "column_name": block.id, "keeps_when_worse": _kept(block), "basis": block.basis,
        "source": block.source,
    }


def _kept(block: Block) -> str | None:
    kept = block.values.get("keeps_when_worse", ())
    return "; ".join(str(answer).lower() if isinstance(answer, bool) else answer for answer in kept) or None
