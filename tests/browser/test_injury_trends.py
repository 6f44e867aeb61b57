"""The page of trends in a real browser: nothing sticks out, nothing is too small, and a measure stays on its sheet."""

import pytest

from tests.browser.browser import IN_A_BROWSER, hard_to_read
from tests.unit.report import world

pytestmark = IN_A_BROWSER

MUST_SHOW = {"verdict", "prevalence", "new-injuries", "stages", "teams", "method", "limits", "provenance"}


@pytest.fixture(scope="module")
def page(made):
    rows = world.ordinary_week()
    for row in rows["trends.shareable"]:
        row["team"] = f"{row['team']} Intermediate Care and Rehabilitation at Home"
    for row in rows["trends.measures"]:
        row["denominator"] = row.get("denominator") and 1_234_567
    return made(rows, "injury_trends")


@pytest.mark.parametrize("width", [1280, 390])
def test_nothing_sticks_out_and_all_text_can_be_read(page, width, browser):
    seen = browser.measure(page, width=width)
    assert hard_to_read(seen, width=width, sections=MUST_SHOW) == []


def test_light_and_dark_are_two_schemes(page, browser):
    assert browser.picture(page, size=(1280, 900)) != browser.picture(page, size=(1280, 900), dark=True)


def test_it_prints_a_measure_on_a_sheet(page, browser):
    sheets = browser.sheets(page)
    # Six measures, the summary before them and four parts after them.
    assert 1 <= sheets <= 11
