"""The weekly audit in a real browser: nothing sticks out, nothing is too small, and it prints."""

import re

import pytest

from tests.browser.browser import IN_A_BROWSER, hard_to_read
from tests.unit.report import world

pytestmark = IN_A_BROWSER

DESKTOP, PHONE = 1280, 390
MUST_SHOW = ("verdict", "see-first", "provision", "falling-due", "confidence", "limits", "provenance")


def week_with_long_words():
    rows = world.ordinary_week()
    for row in rows["audit.worklist"] + rows["audit.caseload"]:
        row["team"] = "Harrowfen and Saltbeck Intermediate Care and Rehabilitation at Home"
    rows["audit.worklist"][0]["clinician"] = "K" + "1234567890" * 5
    rows["audit.headline"][0].update(people=1_234_567, rows_received=123_456_789)
    return rows


@pytest.fixture(
    scope="module", params=[world.ordinary_week, week_with_long_words, world.nobody], ids=lambda week: week.__name__
)
def page(request, made):
    return made(request.param(), "weekly_audit")


@pytest.mark.parametrize("width", [DESKTOP, PHONE])
def test_nothing_sticks_out_and_all_text_can_be_read(page, width, browser):
    seen = browser.measure(page, width=width)
    assert hard_to_read(seen, width=width, sections=MUST_SHOW) == []


def test_the_browser_itself_keeps_the_network_and_scripts_out(page, browser):
    shown = browser.dom(page)
    assert 'id="verdict"' in shown
    spoiled = page.with_name("spoiled.html")
    spoiled.write_text(page.read_text("utf-8").replace("</h1>", "</h1><script>document.body.id = 'ran'</script>"))
    assert 'id="ran"' not in browser.dom(spoiled)


def test_light_and_dark_are_two_schemes(page, browser):
    light = browser.picture(page, size=(DESKTOP, 900))
    dark = browser.picture(page, size=(DESKTOP, 900), dark=True)
    assert light.startswith(b"\x89PNG")
    assert light != dark


def test_it_prints_on_a_few_pages(page, browser):
    pdf = browser.paper(page)
    assert pdf.startswith(b"%PDF")
    sheets = len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))
    assert 1 <= sheets <= 7
    # A4 in points; the page says so itself, whatever the machine's paper is.
    assert re.search(rb"/MediaBox\s*\[0 0 59[45](\.\d+)? 84[12](\.\d+)?\]", pdf)


def test_a_page_that_sticks_out_is_noticed(page, browser):
    spoiled = page.with_name("wide.html")
    wide = '<p style="width: 90rem">wide</p><p style="font-size: 9px">small</p>'
    spoiled.write_text(page.read_text("utf-8").replace("</h1>", "</h1>" + wide))
    seen = browser.measure(spoiled, width=PHONE)
    assert seen.needed > PHONE
    assert seen.sticking_out
    assert seen.smallest_text == 9
