"""Colours that can be read: every pair of text and ground, light and dark, at least 4.5 to 1 (WCAG 2.2, 1.4.3)."""

import re

import pytest

from pipeline.resources import reports_dir

# text on ground, as the stylesheet uses them
PAIRS = (
    ("ink", "ground"), ("grey", "ground"), ("accent", "ground"), ("alert", "ground"), ("ink", "alert-wash"),
    ("alert", "alert-wash"), ("ink", "wash"), ("accent", "wash"), ("on-fill", "accent"), ("on-fill", "alert"),
    ("ink", "over"),
)  # fmt: skip


def schemes():
    """The colours of the light and of the dark scheme, by name."""
    style = (reports_dir() / "style.css").read_text("utf-8")
    blocks = re.findall(r":root \{(.*?)\}", style, re.DOTALL)
    light, dark = (dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", block)) for block in blocks[:2])
    return {"light": light, "dark": dark}


def contrast(one, other):
    """Relative luminance of the lighter over the darker, as WCAG defines it."""

    def luminance(colour):
        parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
        red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_text_stands_out_from_its_ground(scheme, text, ground):
    colours = schemes()[scheme]
    assert contrast(colours[text], colours[ground]) >= 4.5


def test_the_measure_itself():
    """Black on white is 21 to 1 and #767676 is the palest grey that passes on white: common knowledge of WCAG."""
    assert round(contrast("#000000", "#ffffff"), 2) == 21
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


def test_no_colour_stands_outside_the_two_schemes():
    style = (reports_dir() / "style.css").read_text("utf-8")
    outside = re.sub(r":root \{.*?\}", "", style, flags=re.DOTALL)
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b", outside) == []
