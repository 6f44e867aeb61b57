"""Every page of the sample in a real browser: real words are longer than invented ones, and lists are longer too."""

import pytest

from tests.browser.browser import IN_A_BROWSER, hard_to_read

pytestmark = [*IN_A_BROWSER, pytest.mark.slow]

PAGES = ("index", "weekly_audit", "worklist", "injury_trends", "warehouse_guide")


@pytest.mark.parametrize("width", [1280, 390])
@pytest.mark.parametrize("name", PAGES)
def test_nothing_sticks_out_and_all_text_can_be_read(name, width, sample, browser, tmp_path):
    shown = tmp_path / f"{name}.html"
    # What a click opens is looked at too.
    shown.write_text(sample.page(name).replace("<details", "<details open"), encoding="utf-8")
    seen = browser.measure(shown, width=width)
    assert hard_to_read(seen, width=width) == []


def test_the_list_of_audits_fits_a_phone(sample, browser):
    seen = browser.measure(sample.root / "audits" / "index.html", width=390)
    assert (seen.sticking_out, seen.scrolled) == ([], [])


@pytest.mark.parametrize(("name", "most"), [("weekly_audit", 8), ("injury_trends", 16), ("warehouse_guide", 16)])
def test_it_prints_on_few_sheets(name, most, sample, browser):
    assert 1 <= browser.sheets(sample.folder / f"{name}.html") <= most
