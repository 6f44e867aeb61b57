"""What the page of trends says: a conclusion first, its denominator, its direction, nothing that a team keeps back."""

import re

import pytest

from pipeline.log import RunLog, no_progress
from pipeline.report import render
from tests.unit.report import trends_world, world


def page_of(root, rows):
    index = render(world.write_world(root, rows), progress=no_progress, log=RunLog())
    return next(index.parent.glob("*/*/injury_trends.html")).read_text("utf-8")


def text_of(html):
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html)).replace("&nbsp;", " ")


def part(page, name):
    return text_of(page.split(f'<h2 id="{name}">')[1].split("</section>")[0])


@pytest.fixture(scope="module")
def ordinary(tmp_path_factory):
    return page_of(tmp_path_factory.mktemp("trends"), world.ordinary_week())


def test_the_verdict_counts_what_moved(ordinary):
    verdict = text_of(ordinary.split('id="verdict">')[1].split("</h2>")[0])
    assert verdict.strip() == (
        "Of 3 measures that can be judged, 1 is worse than usual and 1 is unlike usual by more than chance;"
        " 1 shows nothing beyond it."
    )


def test_a_measure_is_a_sentence_with_denominator_interval_and_direction(ordinary):
    told = part(ordinary, "prevalence")
    assert told.startswith("Open pressure injuries: worse than usual, by more than chance")
    assert "In December 2025: 24 people with an open injury, of 238 people: 10.1 % ." in told
    assert "from 6.9 to 14.6 % (95 % interval)" in told
    assert "Lower is better." in told
    assert "The chart says: above the upper limit." in told


def test_a_density_says_what_it_is_for(ordinary):
    assert "0.1 for each 1,000" in part(ordinary, "new-injuries")


def test_each_ending_has_its_words(ordinary):
    assert "That is not the same as none." in part(ordinary, "closed-injuries")
    assert "There is no past for this measure" in part(ordinary, "under-provided-lying")
    assert "not judged" in part(ordinary, "unseen-injuries")
    assert "Neither way is better by itself." in part(ordinary, "skin-looks")


def test_a_month_that_stands_out_has_its_shape_and_its_words(ordinary):
    drawn = ordinary.split('<h2 id="prevalence">')[1].split("</section>")[0]
    assert len(re.findall(r'<use class="mark-worse"', drawn)) == 1
    assert "December 2025" in drawn.split("For the worse.")[0].split("<tr>")[-1]
    assert len(re.findall(r'class="plot-hollow" cx="[\d.]+%"', drawn)) == 2
    assert text_of(drawn).count("Provisional.") == 2


def test_limits_that_nothing_is_judged_by_are_not_drawn(ordinary):
    assert 'class="plot-limit"' not in ordinary.split('<h2 id="unseen-injuries">')[1].split("</section>")[0]
    assert 'class="plot-limit"' in ordinary.split('<h2 id="prevalence">')[1].split("</section>")[0]


def test_what_a_team_keeps_back_is_not_shown(ordinary):
    teams = part(ordinary, "teams")
    kept = teams.split("Harrowfen Rehabilitation")[1].split("Quillmoor")[0]
    assert kept.split("Open")[0].split() == ["not", "shown", "17", "not", "shown", "not", "shown"]
    assert "This is no league" in teams
    names = re.findall(r"<td>([^<]+ (?:Rehabilitation|Community))</td>", ordinary)[:3]
    assert names == sorted(names)


def test_an_impossible_step_is_a_question_to_the_record(ordinary):
    assert "closed, stage 4 stage 2 1 cannot be A scar stays deep." in part(ordinary, "steps")


def test_how_long_healing_takes(ordinary):
    told = part(ordinary, "healing")
    assert "Healed in 28 days In 84 days" in told
    # Kaplan and Meier's figure stands below where people died first; nothing is said beyond those who were followed.
    assert "All 60 33 6 10.0 % 10.0 % 50.0 % 55.0 % 70 days" in told
    assert "Stage 2 50 6 0 not followed so long not followed so long not yet half" in told
    assert "10 1 0 no rate (under 50) no rate (under 50) no rate (under 50)" in told


def test_percentages_are_printed_from_fifty_people(tmp_path):
    rows = world.ordinary_week()
    for row in rows["trends.conclusions"] + rows["trends.measures"]:
        row["denominator"] = 49
    told = part(page_of(tmp_path, rows), "prevalence")
    assert "of 49 people." in told
    assert "no rate (under 50)" in told
    assert "% interval)" not in told


def test_months_that_the_exports_do_not_cover_are_named(tmp_path):
    rows = world.ordinary_week()
    rows["trends.conclusions"][0]["uncovered_months"] = 2
    assert "Since then 2 months are not covered by the exports." in part(page_of(tmp_path, rows), "prevalence")


def test_nothing_moved(tmp_path):
    rows = world.ordinary_week()
    for row in rows["trends.conclusions"]:
        row["conclusion"] = "steady" if row["conclusion"] in ("worse", "change") else row["conclusion"]
    assert "Nothing has moved by more than chance in 3 measures that can be judged." in text_of(page_of(tmp_path, rows))


def test_nobody_at_all_is_said(tmp_path):
    page = page_of(tmp_path, world.nobody())
    assert "No month can be shown" in page
    assert '<svg class="picture"' not in page


def test_the_invented_signals_have_words():
    assert set(trends_world.SIGNALS.values()) <= set(trends_world.LABELS["signal"])
