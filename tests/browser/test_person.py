"""The sheet of one person in a real browser: nothing sticks out, nothing is too small, and it prints on few sheets."""

import pytest

from tests.browser.browser import IN_A_BROWSER, hard_to_read
from tests.unit.report import person_world, world

pytestmark = IN_A_BROWSER

DESKTOP, PHONE = 1280, 390
MUST_SHOW = {
    "sentence", "risk", "wounds", "now", "needs", "flags", "options-bed", "options-seat", "ask", "justification",
    "handover", "limits",
}  # fmt: skip


def week_with_long_words():
    rows = world.ordinary_week()
    for row in rows["state.clients"]:
        row["team"] = "Harrowfen and Saltbeck Intermediate Care and Rehabilitation at Home"
        row["clinician"] = "K" + "1234567890" * 5
    return rows


@pytest.fixture(scope="module", params=[world.ordinary_week, week_with_long_words], ids=lambda week: week.__name__)
def page(request, made):
    return made(request.param(), f"clients/{person_world.WHO}")


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_nothing_sticks_out_and_all_text_can_be_read(page, width, browser):
    seen = browser.measure(page, width=width)
    assert hard_to_read(seen, width=width, sections=MUST_SHOW) == []


def test_a_phone_shows_whole_tables_without_scrolling_sideways(page, browser):
    assert browser.measure(page, width=PHONE).scrolled == []


def test_light_and_dark_are_two_schemes(page, browser):
    light = browser.picture(page, size=(DESKTOP, 900))
    dark = browser.picture(page, size=(DESKTOP, 900), dark=True)
    assert light.startswith(b"\x89PNG")
    assert light != dark


def test_it_prints_on_few_sheets(page, browser):
    assert 1 <= browser.sheets(page) <= 2
