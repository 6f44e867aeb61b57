"""The worklist in a real browser: nothing sticks out, nothing is too small, and paper shows what a click opens."""

import re

import pytest

from tests.browser.browser import IN_A_BROWSER, hard_to_read
from tests.unit.report import world

pytestmark = IN_A_BROWSER

DESKTOP, PHONE = 1280, 390
MUST_SHOW = {"verdict", "equipment", "limits", "provenance"}


def week_with_long_words():
    rows = world.ordinary_week()
    for row in rows["audit.worklist"]:
        row["team"] = "Harrowfen and Saltbeck Intermediate Care and Rehabilitation at Home"
    rows["audit.worklist"][0].update(clinician="K" + "1234567890" * 5)
    for row in (rows["audit.worklist"][1], rows["audit.findings"][4], rows["state.clients"][1]):
        row.update(client_id="C-" + "1234567890" * 6)
    return rows


@pytest.fixture(
    scope="module", params=[world.ordinary_week, week_with_long_words, world.nobody], ids=lambda week: week.__name__
)
def page(request, made):
    return made(request.param(), "worklist")


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_nothing_sticks_out_and_all_text_can_be_read(page, width, browser):
    seen = browser.measure(page, width=width)
    assert hard_to_read(seen, width=width, sections=MUST_SHOW) == []


def test_a_phone_shows_whole_lists_without_scrolling_sideways(page, browser):
    assert browser.measure(page, width=PHONE).scrolled == []


def test_what_is_for_paper_is_not_on_screen(page, browser):
    text = browser.measure(page, width=DESKTOP).text
    assert "And 3 more:" not in text
    assert ("and 3 more" in text) == ("and 3 more" in page.read_text("utf-8"))


def test_light_and_dark_are_two_schemes(page, browser):
    light = browser.picture(page, size=(DESKTOP, 900))
    dark = browser.picture(page, size=(DESKTOP, 900), dark=True)
    assert light.startswith(b"\x89PNG")
    assert light != dark


def test_it_prints_each_team_on_sheets_of_its_own(page, browser):
    sheets = browser.sheets(page)
    teams = len(re.findall(r'<h2 id="team-', page.read_text("utf-8")))
    # One sheet before the teams; the last parts may follow the last team on its sheet or take one more.
    assert teams + 1 <= sheets <= teams + 3
