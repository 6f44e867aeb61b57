"""The analyst's page in a real browser: nothing sticks out, opened or not, and it prints without its columns."""

import pytest

from tests.browser.browser import IN_A_BROWSER, hard_to_read
from tests.unit.report import world

pytestmark = IN_A_BROWSER

MUST_SHOW = {"verdict", "asking", "questions", "time", "cautions", "relations", "provenance"}


@pytest.fixture(scope="module")
def page(made):
    return made(world.ordinary_week(), "warehouse_guide")


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("opened", ["<details", "<details open"])
def test_nothing_sticks_out_and_all_text_can_be_read(page, width, opened, browser):
    shown = page.with_name("shown.html")
    shown.write_text(page.read_text("utf-8").replace("<details", opened), encoding="utf-8")
    seen = browser.measure(shown, width=width)
    assert hard_to_read(seen, width=width, sections=MUST_SHOW) == []


def test_light_and_dark_are_two_schemes(page, browser):
    assert browser.picture(page, size=(1280, 900)) != browser.picture(page, size=(1280, 900), dark=True)


def test_it_prints_on_a_few_sheets(page, browser):
    sheets = browser.sheets(page)
    assert 1 <= sheets <= 8
