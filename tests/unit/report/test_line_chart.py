"""The line by month: starts at zero, keeps gaps, marks by shape, and never stands without its words."""

import re
from decimal import Decimal
from itertools import pairwise

import pytest

from pipeline.report.line_chart import Month, line_chart


def months(*rates, centre=None, upper=None, lower=None, marks=(), provisional=()):
    return [
        Month(
            words=f"Month {place + 1}", rate=None if rate is None else Decimal(rate), centre=centre, upper_limit=upper,
            lower_limit=lower, mark=dict(marks).get(place), is_provisional=place in provisional,
        )
        for place, rate in enumerate(rates)
    ]  # fmt: skip


def draw(shown, *, title="Rate", description="What it is.", unit=""):
    return str(line_chart(shown, name="rate", title=title, description=description, unit=unit))


def heights(picture, kind):
    return [float(y) for y in re.findall(rf'class="{kind}" cx="[\d.]+%" cy="([\d.]+)"', picture)]


def test_zero_is_the_floor_and_the_scale_is_round():
    picture = draw(months(0, 5, 10))
    assert re.findall(r'class="plot-scale" x="0" y="[\d.]+">([^<]+)<', picture) == ["0", "2", "4", "6", "8", "10"]
    zero, half, top = heights(picture, "plot-point")
    assert (zero, top) == (268.0, 28.0)
    assert half == pytest.approx((zero + top) / 2)


@pytest.mark.parametrize(
    ("highest", "scale"),
    [
        ("0.034", ["0", "0.01", "0.02", "0.03", "0.04"]), ("1", ["0", "0.2", "0.4", "0.6", "0.8", "1"]),
        ("1.1", ["0", "0.5", "1", "1.5"]), ("26", ["0", "10", "20", "30"]),
        ("7000", ["0", "2,000", "4,000", "6,000", "8,000"]),
        ("0", ["0", "0.1"]),
    ],
)  # fmt: skip
def test_the_scale_fits_what_is_drawn(highest, scale):
    words = re.findall(r'class="plot-scale" x="0" y="[\d.]+">([^<]+)<', draw(months(0, highest)))
    assert words == scale


def test_limits_fit_on_the_scale_too():
    picture = draw(months(1, 1, upper=Decimal("7.3"), centre=Decimal(3)), unit=" %")
    assert "8 %" in picture
    assert picture.count('class="plot-limit"') == 2
    assert picture.count('class="plot-centre"') == 2
    assert [word for word in ("upper limit", "usual", "lower limit") if word in picture] == ["upper limit", "usual"]


def test_a_lower_limit_at_zero_is_no_line():
    shown = months(1, 2, centre=Decimal(1), upper=Decimal(3), lower=Decimal(0))
    assert draw(shown).count('class="plot-limit"') == 2
    assert "lower limit" not in draw(shown)


def test_words_at_the_ends_keep_apart():
    shown = months(100, 1, centre=Decimal("1.2"), upper=Decimal("1.3"), lower=Decimal("1.1"))
    places = [float(y) for y in re.findall(r'class="plot-end" x="[\d.]+%" y="([\d.]+)"', draw(shown))]
    assert len(places) == 3
    assert min(after - before for before, after in pairwise(places)) >= 20


def test_a_missing_month_is_a_gap():
    picture = draw(months(1, None, 3, 4))
    assert picture.count('class="plot-line"') == 1
    assert len(heights(picture, "plot-point")) == 3


def test_a_month_that_stands_out_has_a_shape_and_a_provisional_one_is_hollow():
    picture = draw(months(1, 2, 3, 4, marks={1: "worse", 2: "better"}, provisional=(3,)))
    marks = re.findall(r'<use class="mark-(\w+)" href="#rate-(\w+)"', picture)
    assert marks == [("worse", "worse"), ("better", "better")]
    assert len(heights(picture, "plot-point")) == 1
    assert len(heights(picture, "plot-hollow")) == 1
    assert 'class="plot-line plot-provisional"' in picture
    paths = re.findall(r'<path id="rate-\w+" d="([^"]+)"', picture)
    assert len(set(paths)) == 3


def test_the_axis_names_as_many_months_as_a_phone_can_hold():
    assert re.findall(r">(Month \d+)<", draw(months(*range(9)))) == ["Month 1", "Month 5", "Month 9"]
    assert re.findall(r">(Month \d+)<", draw(months(1, 2))) == ["Month 1", "Month 2"]
    assert re.findall(r">(Month \d+)<", draw(months(1))) == ["Month 1"]


def test_words_are_escaped_and_tied_to_the_picture():
    picture = draw(months(1), title="Rate & more")
    assert '<title id="rate-title">Rate &amp; more</title>' in picture
    assert 'aria-labelledby="rate-title rate-description"' in picture


@pytest.mark.parametrize(("title", "description"), [("", "words"), ("words", " ")])
def test_a_picture_without_words_is_refused(title, description):
    with pytest.raises(ValueError, match="needs a title and a description"):
        draw(months(1), title=title, description=description)


def test_a_negative_rate_is_refused():
    with pytest.raises(ValueError, match="negative"):
        draw(months(-1))


def test_no_month_is_an_empty_picture_with_its_words():
    assert "What it is." in draw([])
