"""SQL for the items of a scale: does each fit the row's scale, and all of them as one text."""

from __future__ import annotations

from decimal import Decimal

from pipeline.intake.cell_sql import literal, text_of, value_of
from pipeline.intake.mapping import Plan


def item_scores(plan: Plan, item: str) -> dict[str, tuple[Decimal, ...]]:
    """The scores that an item may have, by scale."""
    return {scale: items[item] for scale, items in sorted(plan.scales.items()) if item in items}


def by_scale(plan: Plan, item: str, *, cases: dict[str, str]) -> str:
    """A CASE over the row's scale; a scale that nobody knows has its own code, so its items are not judged."""
    found = "".join(f" WHEN {literal(scale)} THEN {condition}" for scale, condition in cases.items())
    strange = ", ".join(literal(scale) for scale in sorted(plan.scales) if scale not in cases)
    rest = f"{text_of('scale')} NOT IN ({strange})" if strange else "TRUE"
    return f"coalesce(CASE {text_of('scale')}{found} ELSE {text_of(item)} IS NULL OR {rest} END, TRUE)"


def item_fits(plan: Plan, item: str) -> str:
    """BOOLEAN: is the score one that the row's scale allows for the item?"""
    cases = {scale: _is_one_of(item, scores) for scale, scores in item_scores(plan, item).items()}
    return by_scale(plan, item, cases=cases)


def _is_one_of(item: str, scores: tuple[Decimal, ...]) -> str:
    return f"{value_of(item)} IN ({', '.join(str(score) for score in scores)})"


def items_text(plan: Plan) -> str:
    """The filled items with their scores, by name: "activity 2; mobility 3"."""
    # Blank items leave no trace, so a file that lacks an item's column equals one whose cells are blank.
    # One digit, the usual score, is its own shortest writing and needs no cast.
    each = [
        f"{literal(item + ' ')} || CASE WHEN length({text_of(item)}) = 1 THEN {text_of(item)}"
        f" ELSE rtrim(rtrim(CAST({value_of(item)} AS VARCHAR), '0'), '.') END"
        for item in plan.items
    ]
    return f"concat_ws('; ', {', '.join(each)})" if each else "''"
