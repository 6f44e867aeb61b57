"""The analyst's page in a real browser: nothing sticks out, opened or not, and it prints without its columns."""

import os
import re

import pytest

from pipeline.log import RunLog, no_progress
from pipeline.report import render
from tests.browser.browser import Browser, find_program
from tests.unit.report import world

# On a developer's machine a browser is optional; where changes are judged a missing one fails.
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(find_program() is None and os.environ.get("CI") != "true", reason="no browser on this machine"),
]

MUST_SHOW = {"verdict", "asking", "questions", "time", "cautions", "relations", "provenance"}


@pytest.fixture(scope="module")
def browser(tmp_path_factory):
    program = find_program()
    assert program, "no browser found, so nobody looked at the pages"
    return Browser(program=program, scratch=tmp_path_factory.mktemp("browser"))


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    index = render(
        world.write_world(tmp_path_factory.mktemp("audit"), world.ordinary_week()), progress=no_progress, log=RunLog()
    )
    return next(index.parent.glob("*/*/warehouse_guide.html"))


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("opened", ["<details", "<details open"])
def test_nothing_sticks_out_and_all_text_can_be_read(page, width, opened, browser):
    shown = page.with_name("shown.html")
    shown.write_text(page.read_text("utf-8").replace("<details", opened), encoding="utf-8")
    seen = browser.measure(shown, width=width)
    assert seen.sticking_out == []
    assert seen.needed <= width
    assert seen.smallest_text >= 16
    assert set(seen.sections) >= MUST_SHOW


def test_light_and_dark_are_two_schemes(page, browser):
    assert browser.picture(page, size=(1280, 900)) != browser.picture(page, size=(1280, 900), dark=True)


def test_it_prints_on_a_few_sheets(page, browser):
    sheets = len(re.findall(rb"/Type\s*/Page\b(?!s)", browser.paper(page)))
    assert 1 <= sheets <= 8
