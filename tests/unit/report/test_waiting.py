"""Who waits for a surface: a list of its own on the worklist, a line in a person's row, a figure of the audit."""

import re

from tests.unit.report import world
from tests.unit.report.test_pages import pages_of
from tests.unit.report.test_weekly_audit import words_of
from tests.unit.report.test_worklist import row_of, worklist_of


def waits_on(page):
    """The rows of the list, as words."""
    part = page.partition('<h2 id="waiting">')[2].partition("</section>")[0]
    rows = re.findall(r'<tr role="row">\s*<th scope="row".*?</tr>', part, re.DOTALL)
    return [words_of(row).strip() for row in rows]


def test_the_deepest_wound_stands_first_and_then_the_longest_wait(tmp_path):
    page = worklist_of(tmp_path, world.ordinary_week())
    assert waits_on(page) == [
        "C-0417 Saltbeck Community, K12 Bed: alternating air mattress asked for; owner: loan service"
        " 2 days since 28 February full thickness or deep",
        "C-0801 Saltbeck Community, K12 Bed: foam mattress asked for; owner: loan service"
        " since when is not recorded not known",
        "C-0800 Saltbeck Community, K12 Bed: foam mattress ordered; owner: loan service"
        " 23 days since 7 February none recorded",
    ]
    assert "11 people wait, the longest 23 days." in words_of(page)


def test_whoever_is_on_the_list_of_people_is_linked_and_their_row_says_it(tmp_path):
    page = worklist_of(tmp_path, world.ordinary_week())
    part = page.partition('<h2 id="waiting">')[2]
    assert re.findall(r'href="#person-([^"]+)"', part) == ["C-0417"]
    assert "Waits for: alternating air mattress (bed), 2 days." in words_of(row_of(page, "C-0417"))
    assert "Waits for" not in row_of(page, "C-0233")


def test_nobody_waits_and_no_data_are_two_things(tmp_path):
    assert "Nobody is recorded as waiting for a surface." in words_of(worklist_of(tmp_path / "a", world.quiet_week()))
    rows = world.missing_feeds()
    rows["audit.headline"][0].update(waiting_people=None, waiting_longest_days=None)
    pages = pages_of(tmp_path / "b", rows)
    said = [words_of(pages[name]) for name in pages if name.endswith(("worklist.html", "weekly_audit.html"))]
    assert len(said) == 2
    for words in said:
        assert "The export of surfaces on loan did not come" in words.replace("No data: the", "The")
        assert "Nobody is recorded as waiting" not in words


def test_the_weekly_audit_counts_them_among_its_first_figures(tmp_path):
    pages = pages_of(tmp_path, world.ordinary_week())
    [page] = [pages[name] for name in pages if name.endswith("weekly_audit.html")]
    words = words_of(page.partition('id="see-first"')[0])
    assert (
        "Waiting today 11 people wait for a surface The longest 23 days. 3 of the 11 have a full-thickness wound."
    ) in words
    assert 'href="worklist.html#waiting"' in page
