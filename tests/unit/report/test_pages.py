"""Every page of every kind of week is sound, and each check can fail: a sound page is spoiled and must be caught."""

import pytest

from pipeline.log import RunLog, no_progress
from pipeline.report import render
from tests.unit.report import world
from tests.unit.report.page_faults import faults_of

WEEKS = (world.ordinary_week, world.first_week, world.quiet_week, world.nobody, world.missing_feeds)


def pages_of(root, rows):
    workspace = world.write_world(root, rows)
    index = render(workspace, progress=no_progress, log=RunLog())
    return {page.relative_to(root).as_posix(): page.read_text("utf-8") for page in sorted(index.parent.rglob("*.html"))}


def audit_of(root, rows):
    pages = pages_of(root, rows)
    return next(page for name, page in pages.items() if name.endswith("/weekly_audit.html"))


@pytest.fixture(scope="module")
def ordinary(tmp_path_factory):
    return audit_of(tmp_path_factory.mktemp("ordinary"), world.ordinary_week())


@pytest.mark.parametrize("week", WEEKS, ids=lambda week: week.__name__)
def test_every_page_is_sound_and_small(week, tmp_path):
    for name, page in pages_of(tmp_path, week()).items():
        assert faults_of(page) == [], name
        assert len(page.encode()) < 500_000, name


SPOILS = {
    "no lang": ('<html lang="en-GB">', "<html>"),
    "no content security policy": ('http-equiv="Content-Security-Policy"', 'name="policy"'),
    "not one title": ("</title>", "</title><title>again</title>"),
    "not one main": ('<main id="content">', '<main></main><main id="content">'),
    "not one h1": ("</h1>", "</h1><h1>Again</h1>"),
    "skips a level": ("</h1>", "</h1><h3>Deep</h3>"),
    "has a <script>": ("</h1>", "</h1><script></script>"),
    "has a <iframe>": ("</h1>", "</h1><iframe></iframe>"),
    "has a <link>": ("</title>", '</title><link rel="stylesheet" href="x.css">'),
    "script attribute": ("<h1>", '<h1 onclick="x()">'),
    "points outside": ('href="#provision"', 'href="https://example.org/"'),
    "nothing has the id": ('href="#provision"', 'href="#nowhere"'),
    "has no caption": ("<caption>", "<thead><tr><td>"),
    "has no scope": ('<th scope="col">Team', "<th>Team"),
    "no role or label": ('<svg class="picture" role="img"', '<svg class="picture"'),
    "stands twice": ('id="changes"', 'id="limits"'),
    "is empty": ("no question open", ""),
    "says NaN": ("no question open", "NaN"),
    "says None": ("no question open", "None"),
    "shows the code": ("no question open", "deep_wound_on_foam"),
    "closes something else": ("</h1>", "</h2>"),
    "no alarm system": ("Not an alarm system.", "Welcome."),
}


@pytest.mark.parametrize("fault", SPOILS)
def test_a_spoiled_page_is_caught(fault, ordinary):
    sound, spoiled = SPOILS[fault]
    assert sound in ordinary
    assert any(fault in found for found in faults_of(ordinary.replace(sound, spoiled, 1)))
