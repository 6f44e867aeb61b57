"""What can be wrong with one scale: its items, their groups and its bands against each other."""

import re
from collections.abc import Mapping
from decimal import Decimal
from itertools import pairwise
from typing import Any

from pipeline.feeds.columns import FEEDS
from pipeline.policy import scoring
from pipeline.policy.model import Block
from pipeline.policy.reading import PolicyFile, check_keys
from pipeline.policy.shapes import (
    BAND_KEYS,
    BANDS,
    BASES,
    CARE_SETTINGS,
    GROUP_KEYS,
    ITEM_KEYS,
    RUNGS,
    SETTING_BAND_KEYS,
)

# An item is a column of the assessments feed, and its name stands before its score in one text.
ITEM_NAME = re.compile(r"[a-z][a-z0-9_]*")
TAKEN = {column.name for column in FEEDS["assessments"].fixed}


def judge(block: Block, file: PolicyFile) -> None:
    """PolicyUnsound for the first thing in a scale's block that does not fit together."""
    values = block.values
    for rows, (required, optional) in (
        (values["items"], ITEM_KEYS), (values["bands"], BAND_KEYS), (values.get("groups", []), GROUP_KEYS),
        (values.get("setting_bands", []), SETTING_BAND_KEYS),
    ):
        for row in rows:
            check_keys(file, row, block=block.id, required=required, optional=optional)
    _judge_items(block, file)
    _judge_groups(block, file)
    for band in (*values["bands"], *values.get("setting_bands", [])):
        _judge_band(band, block, file)
    _judge_settings(block, file)
    if values.get("outcome", "sum") == "sum":
        _judge_totals(block, file)
    else:
        _judge_steps(block, file)
    _judge_band_words(values["bands"], block, file)


def _judge_settings(block: Block, file: PolicyFile) -> None:
    values = block.values
    own = values.get("setting_bands", [])
    named = [*values.get("care_settings", []), *(band["care_setting"] for band in own)]
    for setting in (name for name in named if name not in CARE_SETTINGS):
        raise file.unsound(
            f"no setting is called {setting}", block=block.id, todo=f"Use one of: {', '.join(CARE_SETTINGS)}"
        )
    if "care_settings" in values and not values["care_settings"]:
        raise file.unsound("care_settings is empty", block=block.id, todo="List the settings, or leave it out for all")
    if own and values.get("outcome", "sum") != "sum":
        raise file.unsound("a pathway has no total", block=block.id, todo="Take setting_bands out")
    for setting in sorted({band["care_setting"] for band in own}):
        bands = [band for band in own if band["care_setting"] == setting]
        _judge_reach(bands, block, file)
        _judge_band_words(bands, block, file)


def _judge_items(block: Block, file: PolicyFile) -> None:
    names = [item["item"] for item in block.values["items"]]
    if not names or len(names) != len(set(names)):
        raise file.unsound("an item stands twice, or none at all", block=block.id, todo="List each item once")
    for item in block.values["items"]:
        name = item["item"]
        if not ITEM_NAME.fullmatch(name) or name in TAKEN:
            raise file.unsound(
                f"item {name} cannot be a column", block=block.id,
                todo="Use small letters, digits and _, and no name of another column of the assessments feed",
            )
        if ("scores" in item) == ("low" in item and "high" in item) or ("low" in item) != ("high" in item):
            raise file.unsound(f"item {name} has no range", block=block.id, todo="Give low and high, or scores")
        if not scoring.scores(item) or len(set(scoring.scores(item))) != len(scoring.scores(item)):
            raise file.unsound(
                f"item {name} has low above high, or a score twice", block=block.id, todo="Mend its scores"
            )
        if any(worth % 1 for worth in scoring.points(item).values()):
            # Each band begins one above the band below it, so half a point would fall between two.
            raise file.unsound(f"item {name} gives part of a point", block=block.id, todo="Give whole points")


def _judge_groups(block: Block, file: PolicyFile) -> None:
    groups = [group["group"] for group in block.values.get("groups", [])]
    items = {item["item"] for item in block.values["items"]}
    used = {item["group"] for item in block.values["items"] if "group" in item}
    for name in groups:
        if groups.count(name) > 1 or name not in used:
            raise file.unsound(
                f"group {name} stands twice or holds no item", block=block.id, todo="Name it in its items, once here"
            )
    for name in sorted(used & items):
        raise file.unsound(f"group {name} is called like an item", block=block.id, todo="Give it a name of its own")


def _judge_band(band: Mapping[str, Any], block: Block, file: PolicyFile) -> None:
    if band["band"] not in BANDS:
        raise file.unsound(f"no band is called {band['band']}", block=block.id, todo=f"Use one of: {', '.join(BANDS)}")
    if band["basis"] not in BASES or band["risk_rung"] not in RUNGS:
        raise file.unsound(
            f"band {band['band']} has an unknown basis or a rung outside 0 to 3", block=block.id, todo="Mend that band"
        )


def _judge_totals(block: Block, file: PolicyFile) -> None:
    if any("from_total" not in band or "to_total" not in band or "step" in band for band in block.values["bands"]):
        raise file.unsound("a band without from_total or to_total", block=block.id, todo="Give each band both alone")
    if "min_total" not in block.values or "max_total" not in block.values:
        raise file.unsound("min_total or max_total is missing", block=block.id, todo="Give both")
    lowest, highest = scoring.reach(block.values)
    if (lowest, highest) != (block.values["min_total"], block.values["max_total"]):
        raise file.unsound(
            f"the items add up to {lowest} to {highest}, not min_total to max_total", block=block.id,
            todo="Mend the item ranges or the totals",
        )
    if not block.values["bands"]:
        raise file.unsound("a scale without bands", block=block.id, todo="Add its bands")
    _judge_reach(block.values["bands"], block, file)


def _judge_reach(given: list[Mapping[str, Any]], block: Block, file: PolicyFile) -> None:
    bands = sorted(given, key=lambda band: band["from_total"])
    for band in (band for band in bands if band["from_total"] > band["to_total"]):
        raise file.unsound(f"band {band['band']} goes from above to", block=block.id, todo="Mend that band")
    if (bands[0]["from_total"], bands[-1]["to_total"]) != (block.values["min_total"], block.values["max_total"]):
        raise file.unsound("the bands do not reach from min_total to max_total", block=block.id, todo="Widen them")
    for low, high in pairwise(bands):
        step = Decimal(str(high["from_total"])) - Decimal(str(low["to_total"]))
        if step != 1:
            fault = "overlap" if step < 1 else "leave a gap"
            raise file.unsound(
                f"bands {low['band']} and {high['band']} {fault}", block=block.id,
                todo="Let each band start one above the band below it",
            )
    _judge_order(bands if block.values["worse"] == "high" else bands[::-1], block, file)


def _judge_steps(block: Block, file: PolicyFile) -> None:
    bands = block.values["bands"]
    if any("step" not in band or "from_total" in band or "to_total" in band for band in bands):
        raise file.unsound("a pathway has steps and no totals", block=block.id, todo="Give each band its step alone")
    if "min_total" in block.values or "max_total" in block.values or block.values["worse"] != "high":
        raise file.unsound("a pathway has no total", block=block.id, todo='Take both totals out; say worse = "high"')
    led_to = {step for item in block.values["items"] for step in scoring.points(item).values()}
    steps = [band["step"] for band in bands]
    if len(steps) != len(set(steps)) or led_to != set(steps):
        raise file.unsound(
            "the answers lead to a step without a band, or a band is led to by none", block=block.id,
            todo="Give each step one band",
        )
    _judge_order(sorted(bands, key=lambda band: band["step"]), block, file)


def _judge_order(bands: list[Mapping[str, Any]], block: Block, file: PolicyFile) -> None:
    for better, worse in pairwise(bands):
        if worse["risk_rung"] < better["risk_rung"]:
            raise file.unsound(
                f"band {worse['band']} is worse than {better['band']} and stands on a lower rung", block=block.id,
                todo="Mend risk_rung, or worse",
            )


def _judge_band_words(bands: list[Mapping[str, Any]], block: Block, file: PolicyFile) -> None:
    # A source may state a band by our word or by the scale's; neither may mean two bands.
    said = [word for band in bands for word in {band["band"], band["label"]}]
    for word in sorted({word for word in said if said.count(word) > 1}):
        raise file.unsound(f"the word {word} means two bands", block=block.id, todo="Name and label each band once")
