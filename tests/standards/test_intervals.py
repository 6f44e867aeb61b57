"""Intervals and rates held to worked examples in print and to an outside library, through the SQL that pages read."""

import random

import pytest
from scipy.stats import binomtest, chi2

from pipeline.policy.measuring import poisson_limits
from tests.standards.trend_series import chart, interval

SEED = 1927


@pytest.mark.parametrize(
    ("count", "size", "low", "high"),
    [
        # Newcombe 1998, Statistics in Medicine 17:857-872, Wilson without continuity correction; digits from memory.
        (81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0000, 0.1611), (1, 29, 0.0061, 0.1718),
        # The incidence examples of the NPUAP paper on incidence density, interval recomputed.
        (5, 100, 0.0215, 0.1118), (5, 500, 0.0043, 0.0232),
        # Xie and others 2016, the two prevalences of their abstract, interval recomputed.
        (42, 1286, 0.0243, 0.0439), (85, 1371, 0.0504, 0.0760),
    ],
)  # fmt: skip
def test_wilson_interval_of_a_share(count, size, low, high):
    found = interval(count, size, kind="proportion")
    assert found == pytest.approx((low, high), abs=0.00005)


@pytest.mark.parametrize(
    ("count", "low", "high"),
    [
        # Garwood 1936; 3.689 for none and 30.27 to 56.77 for 42 are in print, the rest recomputed.
        (0, 0, 3.6889), (1, 0.0253, 5.5716), (3, 0.6187, 8.7673), (5, 1.6235, 11.6683), (7, 2.8144, 14.4227),
        (10, 4.7954, 18.3904), (42, 30.2699, 56.7718),
    ],
)  # fmt: skip
def test_exact_interval_of_a_count(count, low, high):
    assert interval(count, 1, kind="density") == pytest.approx((low, high), abs=0.00005)


def test_horse_kicks():
    # 196 deaths in 280 corps-years, Bortkiewicz's data as in the help of a public statistics package: exact interval.
    assert interval(196, 280, kind="density") == pytest.approx((0.6054271, 0.8051570), abs=0.0000006)


@pytest.mark.parametrize(
    ("count", "size", "per", "kind", "rate"),
    [
        # NPUAP, Pressure Ulcer Incidence Density as a Quality Measure: 5 new of 100 people, and of 500.
        (5, 100, 1, "proportion", 0.05), (5, 500, 1, "proportion", 0.01),
        # 7 people in 2,500 bed-days; plain arithmetic of the same measure.
        (7, 2500, 1000, "density", 2.8),
        # One person with three new wounds in 1,000 days: one by people, three by injuries (same paper: count people).
        (1, 1000, 1000, "density", 1.0), (3, 1000, 1000, "density", 3.0),
        # Lyder and others 2012, J Am Geriatr Soc, printed as 4.5 %, and a survey that found 2 of 126.
        (2313, 51842, 1, "proportion", 0.0446), (2, 126, 1, "proportion", 0.0159),
        # Xie and others 2016, abstract: printed as 3.3 % and 6.2 %.
        (42, 1286, 1, "proportion", 0.0327), (85, 1371, 1, "proportion", 0.0620),
        # Ahtiala and others 2016, an intensive-care unit: 10.4 % of 1,616.
        (168, 1616, 1, "proportion", 0.1040),
    ],
)  # fmt: skip
def test_rates_in_print(count, size, per, kind, rate):
    row = chart([count], [size], kind=kind, per=per, baseline=12)[0]
    assert float(row.rate) == pytest.approx(rate, abs=0.00005)


def test_interval_of_seven_in_2500_bed_days():
    # Exact limits recomputed for 2.80 per 1,000.
    assert interval(7, 2500, kind="density", per=1000) == pytest.approx((1.1257, 5.7691), abs=0.00005)


@pytest.mark.parametrize("kind", ["proportion", "density"])
def test_nothing_to_divide_by_is_blank_and_not_nought(kind):
    row = chart([0], [0], kind=kind, baseline=12)[0]
    assert (row.rate, row.lower, row.upper, row.method) == (None, None, None, None)


def drawn(amount: int) -> list[tuple[int, int]]:
    dice = random.Random(SEED)
    sizes = [dice.choice([1, 2, 7, 40, 300, 5000, 80000]) for _ in range(amount)]
    return [(dice.choice([0, size, dice.randint(0, size), dice.randint(0, min(size, 5))]), size) for size in sizes]


def test_shares_agree_with_an_outside_library():
    pairs = drawn(100)
    rows = chart(*zip(*pairs, strict=True), kind="proportion", baseline=12)
    for (count, size), row in zip(pairs, rows, strict=True):
        judged = binomtest(count, size).proportion_ci(confidence_level=0.95, method="wilson")
        assert float(row.lower) == pytest.approx(judged.low, abs=0.0000006), (count, size)
        assert float(row.upper) == pytest.approx(judged.high, abs=0.0000006), (count, size)


def exact(count: int) -> tuple[float, float]:
    return (chi2.ppf(0.025, 2 * count) / 2 if count else 0.0), chi2.ppf(0.975, 2 * count + 2) / 2


def test_counts_agree_with_an_outside_library():
    dice = random.Random(SEED)
    pairs = [(dice.choice([dice.randint(0, 9), dice.randint(0, 2000)]), dice.randint(1, 9000)) for _ in range(100)]
    rows = chart(*zip(*pairs, strict=True), kind="density", per=1000, baseline=12)
    for (count, days), row in zip(pairs, rows, strict=True):
        assert row.method == "exact_poisson"
        low, high = (limit * 1000 / days for limit in exact(count))
        # The table has six places, which the days then stretch.
        assert float(row.lower) == pytest.approx(low, abs=0.0000006 * (1 + 1000 / days)), (count, days)
        assert float(row.upper) == pytest.approx(high, abs=0.0000006 * (1 + 1000 / days)), (count, days)


def test_counts_above_the_table_are_close_to_exact():
    # Byar's approximation is within 0.2 % of exact from ten events on (PHE, Confidence Intervals, 2018).
    for count in (2001, 5000, 40000):
        row = chart([count], [1000], kind="density", per=1000, baseline=12)[0]
        assert row.method == "byar"
        assert (float(row.lower), float(row.upper)) == pytest.approx(exact(count), rel=0.0001)


def test_the_whole_table_of_exact_limits():
    rows = poisson_limits()
    assert [row["events"] for row in rows] == list(range(2001))
    for row in rows:
        assert (float(row["lower"]), float(row["upper"])) == pytest.approx(exact(row["events"]), abs=0.0000006)
