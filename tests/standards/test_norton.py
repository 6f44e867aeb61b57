"""The Norton scale, from an export to the warehouse.

Sources: AHCPR Quick Reference Guide 3 (five items from 1 to 4; its stored table prints "stupor" as the lowest activity,
a slip for bed), AHRQ Comparative Effectiveness Review 87 (total 5 to 20). At risk at 14 or less stands on several
reference pages; one prints below 14. Very high at 12 or less is secondary, and some print below 12: our policy takes
12 or less, the safer reading. A cut at 16 is used in Sweden (Kallman and Lindgren 2014) and is not ours: a service that
reads the edges so gives its own block, as the last test does.
"""

import pytest

from pipeline.resources import policy_dir
from tests.standards.conftest import Form

ITEMS = ("physical_condition", "mental_condition", "activity", "mobility", "incontinence")
RANGE = range(5, 21)


def items_that_sum_to(total: int) -> tuple[int, ...]:
    """Five item scores from 1 to 4 with that sum, filled from the first item on."""
    values, left = [], total - len(ITEMS)
    for _ in ITEMS:
        step = min(3, left)
        values.append(1 + step)
        left -= step
    return tuple(values)


@pytest.fixture(scope="module")
def answers(take_in):
    form = Form("norton", ITEMS)
    for total in RANGE:
        form.score(f"T-{total}", *items_that_sum_to(total))
    form.score("worked-14", 3, 3, 3, 3, 2, recorded_total=14)
    form.score("worked-15", 3, 3, 3, 3, 3, recorded_total=15)
    form.score("worked-12", 2, 2, 3, 2, 3, recorded_total=12)
    for place, name in enumerate(ITEMS):
        form.score(f"blank-{name}", *(None if at == place else 3 for at in range(5)), recorded_total=12)
    return take_in(form)


@pytest.fixture(scope="module")
def refusals(take_in):
    form = Form("norton", ITEMS)
    for place, name in enumerate(ITEMS):
        for value in (0, 5):
            form.score(f"{name}-{value}", *(value if at == place else 2 for at in range(5)))
    form.score("good", 2, 2, 2, 2, 2)
    return take_in(form)


@pytest.mark.parametrize("total", RANGE)
def test_every_total_has_its_band(answers, total):
    # AHRQ Comparative Effectiveness Review 87: 5 to 20. Bands: see the top of this file.
    band = "very_high" if total <= 12 else "at_risk" if total <= 14 else "not_at_risk"
    score = answers.score(f"T-{total}")
    assert (score["recomputed_total"], score["recomputed_band"]) == (total, band)


@pytest.mark.parametrize(("total", "band"), [(14, "at_risk"), (15, "not_at_risk"), (12, "very_high")])
def test_both_sides_of_each_edge(answers, total, band):
    # At risk at 14 or less (several reference pages); very high at 12 or less (secondary, our reading).
    score = answers.score(f"worked-{total}")
    assert score["total_agrees"] is True
    assert (score["recomputed_total"], score["band"]) == (total, band)


@pytest.mark.parametrize("name", ITEMS)
def test_a_partial_score_has_no_total_and_no_band(answers, name):
    # The cuts are published for five items. Our decision: the stated total bands nobody either.
    score = answers.score(f"blank-{name}")
    assert score["missing_items"] == name and score["is_complete"] is False
    assert [score[key] for key in ("recomputed_total", "recomputed_band", "band", "risk_rung")] == [None] * 4


@pytest.mark.parametrize("name", ITEMS)
def test_items_outside_one_to_four_are_held(refusals, name):
    # AHCPR Quick Reference Guide 3: each item is 1 to 4.
    for value in (0, 5):
        assert refusals.score(f"{name}-{value}") is None
        assert refusals.held(f"{name}-{value}") == [(name, "item_out_of_range")]
    assert refusals.score("good")["recomputed_total"] == 10


# The bands of the shipped block, and the other reading of each edge: below 12, and at risk at 16 or less.
EDGES = (
    ("from_total = 5,  to_total = 12", "from_total = 5, to_total = 11"),
    ("from_total = 13, to_total = 14", "from_total = 12, to_total = 16"),
    ("from_total = 15, to_total = 20", "from_total = 17, to_total = 20"),
)


def test_a_service_may_read_the_edges_the_other_way(take_in):
    text = (policy_dir() / "scales" / "norton.toml").read_text("utf-8")
    for shipped, ours in EDGES:
        assert shipped in text
        text = text.replace(shipped, ours)
    form = Form("norton", ITEMS)
    for total in RANGE:
        form.score(f"T-{total}", *items_that_sum_to(total))
    answers = take_in(form, policy={"scales/norton.toml": text})
    # Some sources print below 12 for very high; Kallman and Lindgren 2014: 16 or less at risk.
    expected = {11: "very_high", 12: "at_risk", 15: "at_risk", 16: "at_risk", 17: "not_at_risk"}
    assert {total: answers.score(f"T-{total}")["band"] for total in expected} == expected
