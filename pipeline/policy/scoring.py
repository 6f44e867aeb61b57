"""A scale's block in numbers: which scores an item may have, what each is worth, and how far a total reaches."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pipeline.policy.model import Block

Row = dict[str, Any]


def scores(item: Mapping[str, Any]) -> tuple[Decimal, ...]:
    """The scores that an item may have, ascending: those that it lists, or each whole one from low to high."""
    listed = item["scores"] if "scores" in item else range(item["low"], item["high"] + 1)
    # Through text, so that 0.5 in a file is 0.5 and not the nearest binary fraction.
    return tuple(sorted(Decimal(str(score)) for score in listed))


def points(item: Mapping[str, Any]) -> dict[Decimal, Decimal]:
    """Score to points. A tick of 1 may be worth several points, and a deduction less than nothing."""
    worth = Decimal(str(item.get("points", 1)))
    return {score: score * worth for score in scores(item)}


def reach(values: Mapping[str, Any]) -> tuple[Decimal, Decimal]:
    """The lowest and the highest total that the items of a block can give, its groups capped."""
    caps = {group["group"]: Decimal(str(group["max_points"])) for group in values.get("groups", ())}
    sums: dict[str, tuple[Decimal, Decimal]] = {}
    for item in values["items"]:
        # A blank optional item adds nothing.
        worth = [*points(item).values(), *([Decimal(0)] if item.get("is_optional") else [])]
        low, high = sums.get(_group(item), (Decimal(0), Decimal(0)))
        sums[_group(item)] = (low + min(worth), high + max(worth))
    lows = [min(low, caps.get(group, low)) for group, (low, _) in sums.items()]
    highs = [min(high, caps.get(group, high)) for group, (_, high) in sums.items()]
    return sum(lows, Decimal(0)), sum(highs, Decimal(0))


def rows(versions: tuple[Block, ...]) -> dict[str, list[Row]]:
    """The rows of the policy's relations about scales; a version holds until the next one."""
    found: dict[str, list[Row]] = {
        "scales": [], "scale_items": [], "scale_scores": [], "scale_bands": [], "setting_bands": []
    }
    for block, after in zip(versions, (*versions[1:], None), strict=True):
        until = after.effective_from if after is not None and after.id == block.id else None
        when = {"scale": block.id, "effective_from": block.effective_from, "effective_to": until}
        settings = "; ".join(block.values.get("care_settings", ())) or None
        found["scales"].append({"outcome": "sum", **block.values, "care_settings": settings, **when})
        found["setting_bands"].extend({**band, **when} for band in block.values.get("setting_bands", ()))
        found["scale_bands"].extend({**band, **when} for band in block.values["bands"])
        caps = {group["group"]: group["max_points"] for group in block.values.get("groups", ())}
        for place, item in enumerate(block.values["items"], start=1):
            found["scale_items"].append(_item_row(item, caps=caps) | when | {"position": place})
            found["scale_scores"].extend(
                {**when, "item": item["item"], "score": score, "points": worth} for score, worth in points(item).items()
            )
    return found


def _item_row(item: Mapping[str, Any], *, caps: Mapping[str, Any]) -> Row:
    allowed = scores(item)
    return {
        "item": item["item"], "label": item["label"], "low": allowed[0], "high": allowed[-1],
        "is_optional": item.get("is_optional", False), "item_group": _group(item), "group_max": caps.get(_group(item)),
        "lapses": item.get("lapses", False),
    }


def _group(item: Mapping[str, Any]) -> str:
    # An item that belongs to no group is one by itself.
    return item.get("group", item["item"])
