"""Laws of every shipped scale over any form: totals lie in range, and nothing is banded without a complete score.

The forms are made up from the scores that a scale allows, with blanks and with scores that it does not allow; the real
relation judges them. What a total must come to is added up here once more, from the policy's own items.
"""

import datetime
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.policy import load
from tests.models.cases import shared_world

DAY = datetime.date(2026, 3, 2)
POLICY = load()
SCALES = {block.id: block.values for block in POLICY.versions("scale", DAY)}
FEW = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))


def a_form(scale: str) -> st.SearchStrategy:
    """Item to score, None for a blank; a score of 97 is one that no scale allows."""
    cells = {}
    for item, scores in POLICY.scale_items()[scale].items():
        cells[item] = st.one_of(st.sampled_from(scores), st.sampled_from([*scores, None, Decimal(97)]))
    whole = st.fixed_dictionaries({i: st.sampled_from(scores) for i, scores in POLICY.scale_items()[scale].items()})
    return st.one_of(whole, whole, st.fixed_dictionaries(cells))


def judged(scale: str, forms: list[dict]) -> list[dict]:
    """What risk.forms and risk.scores say of those forms, in their order."""
    world = shared_world()
    con = world.con
    rows = [
        (f"{place:04d}", "; ".join(f"{i} {s.normalize():f}" for i, s in sorted(form.items()) if s is not None) or None)
        for place, form in enumerate(forms)
    ]
    con.begin()
    try:
        con.execute("DELETE FROM records.assessments")
        for assessment_id, text in rows:
            con.execute(
                "INSERT INTO records.assessments BY NAME SELECT ? AS assessment_id, 'C-1' AS client_id, ? AS scale,"
                " TIMESTAMP '2026-02-02 10:00' AS assessed_at, TRUE AS assessed_at_has_time, ? AS items",
                [assessment_id, scale, text],
            )
        columns = ["assessment_id", "recomputed_total", "recomputed_band", "band", "risk_rung", "is_complete"]
        con.execute("DELETE FROM risk.forms")
        con.execute(f"INSERT INTO risk.forms {world.relations['risk.forms'].sql}")
        sql = world.relations["risk.scores"].sql
        found = con.execute(f"SELECT {', '.join(columns)} FROM ({sql}) ORDER BY assessment_id").fetchall()
    finally:
        con.rollback()
    return [dict(zip(columns, row, strict=True)) for row in found]


def added_up(scale: str, form: dict) -> int | None:
    """The total by hand; None where an answer that may not be missing is, or one is not allowed."""
    caps = {group["group"]: group["max_points"] for group in SCALES[scale].get("groups", [])}
    sums: dict[str, int] = {}
    for item in SCALES[scale]["items"]:
        score = form[item["item"]]
        if score is None and item.get("is_optional"):
            continue
        if score is None or score not in POLICY.scale_items()[scale][item["item"]]:
            return None
        group = item.get("group", item["item"])
        sums[group] = sums.get(group, 0) + int(score) * item.get("points", 1)
    return sum(min(points, caps.get(group, points)) for group, points in sums.items())


@pytest.mark.parametrize("scale", [scale for scale, values in SCALES.items() if "max_total" in values])
def test_a_total_is_the_sum_lies_in_range_and_alone_gives_a_band(scale):
    @FEW
    @given(st.lists(a_form(scale), min_size=1, max_size=6))
    def holds(forms):
        found = judged(scale, forms)
        assert [row["recomputed_total"] for row in found] == [added_up(scale, form) for form in forms]
        for row in found:
            total = row["recomputed_total"]
            assert row["is_complete"] == (total is not None)
            assert (row["band"] is not None) == (row["risk_rung"] is not None) == (total is not None)
            assert total is None or SCALES[scale]["min_total"] <= total <= SCALES[scale]["max_total"]

    holds()


def test_a_pathway_has_a_band_for_every_whole_form_and_never_a_total():
    @FEW
    @given(st.lists(a_form("purpose_t"), min_size=1, max_size=6))
    def holds(forms):
        found = judged("purpose_t", forms)
        assert [row["recomputed_band"] is not None for row in found] == [
            all(score in (0, 1) for score in form.values()) for form in forms
        ]
        assert [row["recomputed_total"] for row in found] == [None] * len(forms)

    holds()
