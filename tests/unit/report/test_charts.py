"""The picture: same scale for all bars, numbers where they fit, and never without its words."""

import re

import pytest

from pipeline.report.charts import Bar, Part, stacked_bars

TWO = (
    Bar("Mattress, high need: 40 people", (Part("matched", 30), Part("under_provided", 10))),
    Bar("Seat <high> need: 20 people", (Part("matched", 20), Part("unknown", 0))),
)


def draw(bars, title="Need", description="What each bar is."):
    return stacked_bars(bars, name="need", title=title, description=description)


def test_bars_start_at_zero_and_share_one_scale():
    places = re.findall(r'<rect class="part-\w+" x="([\d.]+)%" y="(\d+)" width="([\d.]+)%"', draw(TWO))
    assert [(x, width) for x, _, width in places] == [("0.00", "75.00"), ("75.00", "25.00"), ("0.00", "50.00")]


def test_a_part_of_nobody_is_not_drawn():
    assert "part-unknown" not in draw(TWO)


def test_a_number_stands_only_where_it_fits():
    bars = (Bar("Mattress", (Part("matched", 97), Part("under_provided", 3))),)
    assert re.findall(r'class="part-number[^>]+>(\d+)<', draw(bars)) == ["97"]


def test_the_words_are_escaped_and_tied_to_the_picture():
    picture = draw(TWO, title="Need & more")
    assert "Seat &lt;high&gt; need" in picture
    assert 'aria-labelledby="need-title need-description"' in picture
    assert '<title id="need-title">Need &amp; more</title>' in picture


@pytest.mark.parametrize(("title", "description"), [("", "words"), ("words", " ")])
def test_a_picture_without_words_is_refused(title, description):
    with pytest.raises(ValueError, match="needs a title and a description"):
        draw(TWO, title=title, description=description)


def test_a_negative_amount_is_refused():
    with pytest.raises(ValueError, match="negative"):
        draw((Bar("Mattress", (Part("matched", -1),)),))


def test_no_bars_make_an_empty_picture_that_still_has_its_words():
    assert 'height="0"' in draw(())
