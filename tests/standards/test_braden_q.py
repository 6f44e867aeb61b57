"""Braden Q, its short form and Braden QD, for children, from an export to the warehouse.

Sources: NINDS common data element notice for the Braden Q Scale and Curley and others 2003, abstract (seven items
from 1 to 4, total 7 to 28, at risk at 16 or less, three weeks to eight years); Curley and others 2018, J Pediatr,
abstract (Braden QD: at risk from 13, born early to 21 years). From memory, not checked against the papers: range
and cut-off of the short form, and how the 20 points of Braden QD are shared among its items.
"""

import pytest

from tests.standards.conftest import Form

Q = ("mobility", "activity", "sensory_perception", "moisture", "friction_shear", "nutrition", "tissue_perfusion")
SHORT = ("mobility", "sensory_perception", "tissue_perfusion")
QD = (
    "mobility", "sensory_perception", "friction_shear", "nutrition", "tissue_perfusion", "device_count",
    "device_protection",
)
# scale: items, lowest scores, highest scores, the at-risk side of its one edge, the other side.
SCALES = {
    "braden_q": (Q, (1,) * 7, (4,) * 7, 16, 17),
    "modified_braden_q": (SHORT, (1,) * 3, (4,) * 3, 7, 8),
    "braden_qd": (QD, (0,) * 7, (2, 2, 2, 2, 2, 8, 2), 13, 12),
}
AGES = {
    "newborn": {"age_years": 0, "age_months": 0}, "one-month": {"age_years": 0, "age_months": 1},
    **{str(years): {"age_years": years} for years in (8, 9, 21, 22)},
}  # fmt: skip
ENDS = {"braden_q": (7, 28), "modified_braden_q": (3, 12), "braden_qd": (0, 20)}


def items_that_sum_to(total: int, lowest: tuple[int, ...], highest: tuple[int, ...]) -> tuple[int, ...]:
    """Allowed item scores with that sum, filled from the first item on."""
    values, left = [], total - sum(lowest)
    for low, high in zip(lowest, highest, strict=True):
        step = min(high - low, left)
        values.append(low + step)
        left -= step
    return tuple(values)


@pytest.fixture(scope="module")
def answers(take_in):
    forms = []
    for scale, (items, lowest, highest, *_) in SCALES.items():
        form, refused = Form(scale, items), Form(scale, items)
        for total in range(sum(lowest), sum(highest) + 1):
            form.score(f"{scale}-{total}", *items_that_sum_to(total, lowest, highest))
        for place, item in enumerate(items):
            form.score(f"{scale}-no-{item}", *(None if at == place else low for at, low in enumerate(lowest)))
            for side, value in (("under", lowest[place] - 1), ("over", highest[place] + 1)):
                cells = (value if at == place else low for at, low in enumerate(lowest))
                refused.score(f"{scale}-{side}-{item}", *cells)
        for age in AGES:
            form.score(f"{scale}-at-{age}", *lowest, client_id=f"C-{age}")
        forms += [form, refused]
    people = {f"C-{age}": known for age, known in AGES.items()}
    return take_in(*forms, people={"C-1": {"age_years": 4, "age_months": 50}} | people)


@pytest.mark.parametrize("scale", SCALES)
def test_the_ends_of_the_scale(answers, scale):
    # Braden Q 7 and 28: NINDS notice. The others from memory.
    for total in ENDS[scale]:
        assert answers.score(f"{scale}-{total}")["recomputed_total"] == total


@pytest.mark.parametrize("scale", SCALES)
def test_every_total_has_its_band(answers, scale):
    # 16 or less: Curley and others 2003; 13 or more: Curley and others 2018; 7 or less of the short form: from memory.
    _, lowest, highest, edge, _ = SCALES[scale]
    for total in range(sum(lowest), sum(highest) + 1):
        score = answers.score(f"{scale}-{total}")
        is_at_risk = total >= edge if scale == "braden_qd" else total <= edge
        assert (score["recomputed_total"], score["recomputed_band"], score["risk_rung"]) == (
            total, "at_risk" if is_at_risk else "not_at_risk", int(is_at_risk),
        )  # fmt: skip


@pytest.mark.parametrize("scale", SCALES)
def test_both_sides_of_the_edge(answers, scale):
    # 16 and 17: NINDS notice and Curley and others 2003; 13 and 12: Curley and others 2018; 7 and 8: from memory.
    *_, edge, other = SCALES[scale]
    found = [answers.score(f"{scale}-{total}")["band"] for total in (edge, other)]
    assert found == ["at_risk", "not_at_risk"]


@pytest.mark.parametrize("scale", SCALES)
def test_a_partial_score_has_no_total(answers, scale):
    # The cut-offs are published for all items.
    for item in SCALES[scale][0]:
        score = answers.score(f"{scale}-no-{item}")
        assert (score["missing_items"], score["recomputed_total"], score["band"]) == (item, None, None)


@pytest.mark.parametrize("scale", SCALES)
def test_items_outside_their_range_are_held(answers, scale):
    # Braden Q: friction and shear goes to 4, unlike the adult scale's (NINDS notice).
    for item in SCALES[scale][0]:
        for side in ("under", "over"):
            assert answers.held(f"{scale}-{side}-{item}") == [(item, "item_out_of_range")]


@pytest.mark.parametrize(
    ("scale", "suited"),
    [
        ("braden_q", ["one-month", "8"]),
        ("modified_braden_q", ["one-month", "8"]),
        ("braden_qd", ["newborn", "one-month", "8", "9", "21"]),
    ],
)
def test_the_ages_that_they_suit(answers, scale, suited):
    # Curley and others 2003: three weeks to eight years; Curley and others 2018: born early to 21 years. Our decision:
    # the first month is left out of the former, since ages are whole months, and the whole of the last year is in.
    assert [age for age in AGES if answers.score(f"{scale}-at-{age}")["suits_age"]] == suited
