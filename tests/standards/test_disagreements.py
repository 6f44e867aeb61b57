"""Where published sources disagree or are wrong: each such place is settled in one block of the policy, in plain sight.

A block's `source` says what the sources differ on and what is taken; what is taken is checked beside it. Twelve places
in what scales, staging, healing and charts rest on, the first of Norton's with two edges.
"""

import datetime as dt

import pytest

from pipeline.policy import load
from pipeline.policy.shapes import BASES

POLICY = load()
DAY = dt.date(2026, 3, 2)
TABLES = POLICY.tables(DAY)


def block(kind: str, name: str) -> dict:
    """A block's own keys, with what it rests on."""
    [found] = [held for held in POLICY.in_force(kind, DAY) if held.id == name]
    return {"basis": found.basis, "source": found.source} | dict(found.values)


def band(scale: str, name: str) -> dict:
    """One band of a scale, which says itself what it rests on."""
    [found] = [held for held in block("scale", scale)["bands"] if held["band"] == name]
    return found


def item(scale: str, name: str) -> dict:
    """One item of a scale."""
    [found] = [held for held in block("scale", scale)["items"] if held["item"] == name]
    return found


# What it is about; the block; what its source must name of both sides; what is taken, and its value.
PLACES = {
    "Waterlow, points for broken skin: the card 3, an archetype 2": (
        block("scale", "waterlow"), ("Broken skin is 3 on the card", "the archetype says 2", "we take 3"),
        item("waterlow", "skin_broken")["points"], 3,
    ),
    "Norton, the edge at 12: or less, or below": (
        band("norton", "very_high"), ("12 or less", "below 12"), band("norton", "very_high")["to_total"], 12,
    ),
    "Norton, the edge at 14: or less, or below, or 16": (
        band("norton", "at_risk"), ("14 or less", "below 14", "16 or less"), band("norton", "at_risk")["to_total"], 14,
    ),
    "Braden, very high: 9 or less, or below 9": (
        band("braden", "very_high"), ("9 or less", "below 9"), band("braden", "very_high")["to_total"], 9,
    ),
    "Braden Q: seven items to 28, an archetype six to 20": (
        block("scale", "braden_q"), ("7 to 28", "6 to 20", "not used"), block("scale", "braden_q")["max_total"], 28,
    ),
    "Glamorgan: a specificity that no count of children gives": (
        band("glamorgan", "high"), ("67.4 %", "275 children", "nothing here rests on it"),
        band("glamorgan", "high")["from_total"], 15,
    ),
    "PUSH: classes of area with gaps between them": (
        block("push_score", "area_3"), ("printed class from 0.7", "gap", "half up"),
        block("push_score", "area_3")["counts_from"], 0.65,
    ),
    "Byar's approximation: with x and x + 1, or with x + 0.5": (
        block("labels", "method"), ("x and x + 1", "x + 0.5", "we take"), block("labels", "method")["codes"]["byar"],
        "Byar",
    ),
    "Charts: limits from ranges that were screened, or not": (
        block("parameter", "trend_baseline_months"), ("moving ranges", "left out first", "nothing is screened"),
        block("parameter", "trend_baseline_months")["amount"], 12,
    ),
    "An example states an area that its length and width do not give": (
        block("parameter", "worse_growth_percent"), ("4 cm2 for 4 by 2 cm", "8.0", "6.28", "no stated area"),
        block("parameter", "worse_growth_percent")["amount"], 20,
    ),
    "A published course that stages backwards": (
        block("transition", "stage_2"), ("from stage 2 back to stage 1", "we take the manuals"),
        block("transition", "stage_2")["to"]["stage_1"], "error",
    ),
    "SNOMED CT: concepts that were replaced, and are still in use": (
        block("stage", "stage_4"), ("420597008", "1163224003", "both are read"),
        block("stage", "stage_4")["numbered"], 4,
    ),
    "Norton: a table that prints the lowest mental state as activity": (
        block("scale", "norton"), ("lowest mental state as the lowest activity", "a slip for bed"),
        item("norton", "activity")["low"], 1,
    ),
}  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
def test_the_policy_says_what_sources_differ_on_and_what_it_takes(place):
    settled, names, taken, value = PLACES[place]
    assert settled["basis"] in BASES
    for words in names:
        assert words in settled["source"], words
    assert taken == value


def test_each_stage_names_its_concept_and_the_one_that_it_replaced():
    # SNOMED CT editorial guide, January 2026: stages 1 to 4 and unstageable each had another concept before.
    replaced = [
        (row["stage"], row["code"], row["active_code"]) for row in TABLES["wound_codes"].to_pylist()
        if row["system"] == "snomed_ct" and not row["is_active"]
    ]  # fmt: skip
    named = 0
    for stage, code, active_code in replaced:
        if stage in ("stage_1", "stage_2", "stage_3", "stage_4", "unstageable"):
            assert f"made {code} inactive and put {active_code} in its place" in block("stage", stage)["source"]
            named += 1
    assert named == 5
