"""Control charts held to textbook data: centre, limits, which points are out, and the published rules for runs."""

import pytest

from tests.standards.trend_series import chart, month, outside

# Montgomery, Introduction to Statistical Quality Control: orange juice cans, 30 samples of 50; digits as in the data
# file of a public quality-control package.
ORANGE_JUICE = [
    *(12, 15, 8, 10, 4, 7, 16, 9, 14, 10), *(5, 6, 17, 12, 22, 8, 10, 5, 13, 11), *(20, 18, 24, 15, 9, 12, 7, 13, 9, 6),
]  # fmt: skip
# Montgomery, same book: nonconformities in 20 samples of 5 personal computers.
PC_ASSEMBLY = [10, 12, 8, 14, 10, 16, 11, 7, 10, 15, 9, 5, 7, 11, 12, 6, 8, 10, 7, 5]


def test_orange_juice_cans():
    rows = chart(ORANGE_JUICE, [50] * 30, kind="proportion", baseline=30)
    assert sum(ORANGE_JUICE) == 347
    for row in rows:
        found = (float(row.centre), float(row.lower_limit), float(row.upper_limit))
        assert found == pytest.approx((0.2313, 0.0524, 0.4102), abs=0.00005)
    assert outside(rows) == [15, 23]


def test_orange_juice_cans_without_the_two_that_were_out():
    kept = [count for place, count in enumerate(ORANGE_JUICE, start=1) if place not in (15, 23)]
    rows = chart(kept, [50] * 28, kind="proportion", baseline=28)
    assert sum(kept) == 301
    found = (float(rows[0].centre), float(rows[0].lower_limit), float(rows[0].upper_limit))
    assert found == pytest.approx((0.2150, 0.0407, 0.3893), abs=0.00005)
    # The 21st sample of the whole series is the 20th of what is left.
    assert outside(rows) == [20]


def test_personal_computers():
    rows = chart(PC_ASSEMBLY, [5] * 20, kind="density", baseline=20)
    assert sum(PC_ASSEMBLY) == 193
    for row in rows:
        found = (float(row.centre), float(row.lower_limit), float(row.upper_limit))
        assert found == pytest.approx((1.93, 0.0661, 3.7939), abs=0.00005)
    assert outside(rows) == []


def test_each_month_has_limits_of_its_own_size():
    # The formula: centre and three times the root of p(1 - p)/n, here for 0.5 with 100 and with 25.
    rows = chart([50, 50, 12], [100, 100, 25], kind="proportion", baseline=2)
    assert [float(row.upper_limit) for row in rows] == pytest.approx([0.65, 0.65, 0.8])


def test_limits_come_from_the_baseline_alone():
    # NHS practice, from the vignettes of a public package for NHS charts: the first twelve points make the limits.
    rows = chart([10] * 12 + [40], [100] * 13, kind="proportion", baseline=12)
    assert {float(row.centre) for row in rows} == {0.1}
    assert {row.baseline_months for row in rows} == {12}
    assert outside(rows) == [13]


@pytest.mark.parametrize(("months", "has_limits"), [(1, False), (2, True)])
def test_fewer_than_two_points_have_no_limits(months, has_limits):
    rows = chart([10] * months, [100] * months, kind="proportion", baseline=12)
    assert (rows[0].centre is not None) == has_limits


def test_a_month_of_nobody_is_left_out_and_all_alike_divides_by_nothing():
    rows = chart([0, 0, 0, 0], [100, 0, 100, 100], kind="proportion", baseline=12)
    assert [row.rate is None for row in rows] == [False, True, False, False]
    assert {(row.lower_limit, row.upper_limit) for row in rows if row.rate is not None} == {(0, 0)}
    assert {row.signal for row in rows} == {None}


def signals(values: list[int]) -> list[str | None]:
    """Signals of counts out of 10,000 around 5,000; the three months before end on the centre, where every run ends."""
    rows = chart([4999, 5001, 5000, *values], [10_000] * (len(values) + 3), kind="proportion", baseline=3)
    return [row.signal for row in rows][3:]


# Rules and vectors: NHS England, Making Data Count, as coded and tested in a public package for NHS charts. A step of 1
# in 10,000 is far within the limits, so only runs can speak.
@pytest.mark.parametrize(
    ("values", "expected"),
    [
        ([5001] * 6, [None] * 6),
        ([5001] * 8, [None] * 6 + ["one_side_high"] * 2),
        ([4999] * 7, [None] * 6 + ["one_side_low"]),
        ([4997, 4998, 4999, 5002, 5003, 5004], [None] * 6),
        ([4996, 4997, 4998, 4999, 5002, 5003, 5004], [None] * 6 + ["steady_high"]),
        ([4997, 4998, 4999, 4999, 5002, 5003, 5004], [None] * 7),
        ([5004, 5003, 5002, 4999, 4998, 4997, 4996], [None] * 6 + ["steady_low"]),
    ],
)  # fmt: skip
def test_runs(values, expected):
    assert signals(values) == expected


# A sigma of 10,000 at a half is 50: beyond 5,100 lies the outer third.
@pytest.mark.parametrize(
    ("values", "expected"),
    [
        # The vector 0, 0, 1, 0, 1, 0, 0 marks the third to the fifth.
        ([5050, 4950, 5120, 5050, 5120, 5050, 4950], [None, None, *["outer_third_high"] * 3, None, None]),
        ([5050, 4950, 4880, 4950, 4880, 4950, 5050], [None, *[None], *["outer_third_low"] * 3, None, None]),
        ([5120, 4880, 5120, 4950, 5120], [None] * 5),
        ([5100, 5100, 5050, 4950], [None] * 4),
        ([5151, 4990, 4849], ["outside_limit_high", None, "outside_limit_low"]),
        ([5150, 4990, 4850], [None] * 3),
    ],
)  # fmt: skip
def test_points_near_and_outside_a_limit(values, expected):
    assert signals(values) == expected


def test_months_of_the_series_follow_each_other():
    assert [month(place) for place in (0, 11, 12)] == ["2000-01-01", "2000-12-01", "2001-01-01"]
