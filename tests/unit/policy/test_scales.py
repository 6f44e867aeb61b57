"""Totals on each side of every edge, against the bands that the shipped policy gives."""

import datetime

import pytest

from pipeline.policy import load

AS_OF = datetime.date(2026, 3, 2)
TABLES = load().tables(AS_OF)

# scale, total, band, rung on the ladder 0 low, 1 at risk, 2 high, 3 very high; the source of the edge stands beside it.
EDGES = [
    # Range 6 to 23 and bands: openEHR archetype braden_scale.v1; Hartford Institute, Try This no. 5 (2007).
    ("braden", 6, "very_high", 3),
    # "9 or less", not "below 9": the archetype; some teaching pages leave 9 without a band.
    ("braden", 9, "very_high", 3),
    ("braden", 10, "high", 2),
    ("braden", 12, "high", 2),
    # That moderate stands on rung 2 is our decision.
    ("braden", 13, "moderate", 2),
    ("braden", 14, "moderate", 2),
    ("braden", 15, "at_risk", 1),
    # 18 is the cut-off in Bergstrom and Braden 2002 (Nurs Res 51:398-403).
    ("braden", 18, "at_risk", 1),
    ("braden", 19, "not_at_risk", 0),
    ("braden", 23, "not_at_risk", 0),
    # Range 5 to 20: AHRQ Comparative Effectiveness Review 87 (2013), table 2. Edges: secondary pages, which disagree.
    ("norton", 5, "very_high", 3),
    ("norton", 12, "very_high", 3),
    ("norton", 13, "at_risk", 1),
    ("norton", 14, "at_risk", 1),
    ("norton", 15, "not_at_risk", 0),
    ("norton", 20, "not_at_risk", 0),
]
# openEHR archetype braden_scale.v1 and the Norton table of AHCPR Quick Reference Guide 3: item, lowest, highest score.
ITEMS = {
    "braden": {
        "sensory_perception": (1, 4), "moisture": (1, 4), "activity": (1, 4), "mobility": (1, 4), "nutrition": (1, 4),
        "friction_shear": (1, 3),
    },
    "norton": {
        "physical_condition": (1, 4), "mental_condition": (1, 4), "activity": (1, 4), "mobility": (1, 4),
        "incontinence": (1, 4),
    },
}  # fmt: skip


@pytest.mark.parametrize(("scale", "total", "band", "rung"), EDGES)
def test_total_falls_in_band(scale, total, band, rung):
    found = [
        (row["band"], row["risk_rung"])
        for row in TABLES["scale_bands"].to_pylist()
        if row["scale"] == scale and row["from_total"] <= total <= row["to_total"]
    ]
    assert found == [(band, rung)]


@pytest.mark.parametrize("scale", sorted(ITEMS))
def test_items_have_the_published_ranges(scale):
    found = {
        row["item"]: (row["low"], row["high"]) for row in TABLES["scale_items"].to_pylist() if row["scale"] == scale
    }
    assert found == ITEMS[scale]


def test_intake_gets_the_allowed_scores():
    allowed = load().scale_items()
    assert allowed["braden"]["friction_shear"] == (1, 2, 3)
    # openEHR archetype waterlow_score.v0: a neurological deficit is 0 or 4 to 6.
    assert allowed["waterlow"]["neuro_paraplegia"] == (0, 4, 5, 6)


def test_one_item_has_one_label_whatever_the_scale():
    labels: dict[str, set[str]] = {}
    for row in TABLES["scale_items"].to_pylist():
        labels.setdefault(row["item"], set()).add(row["label"])
    assert {item: found for item, found in labels.items() if len(found) > 1} == {}


def test_a_total_outside_the_scale_has_no_band():
    bands = TABLES["scale_bands"].to_pylist()
    assert [row for row in bands if row["scale"] == "braden" and row["from_total"] <= 5 <= row["to_total"]] == []


def test_ages_of_the_scales():
    # Five years: openEHR archetype braden_scale.v1. Norton for adults: common practice, no source.
    found = {row["scale"]: row["min_age_months"] for row in TABLES["scales"].to_pylist()}
    assert (found["braden"], found["norton"]) == (60, 216)
