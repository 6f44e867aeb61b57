"""Every figure of the page of trends, in sentence, table and chart, against counts and statistics of its own."""

import re
from calendar import monthrange
from datetime import date

import pytest

from tests.end_to_end.healing_counts import by_then, half_after, spells
from tests.end_to_end.printed import Printed, words_of
from tests.end_to_end.trend_counts import Records
from tests.end_to_end.trend_statistics import Point, judge, tenth
from tests.end_to_end.trend_words import conclusion, in_words, meaning, named, newest, row_of

pytestmark = pytest.mark.slow

AS_OF = date(2026, 3, 2)
COVERED_BY = {"overdue_reassessments": "assessments_known", "skin_looks": "skin_known"}
CERTAIN = {
    "new_injury_people": "acquired_injury_people",
    "new_injuries": "acquired_injuries",
    "new_full_thickness": "acquired_full_thickness",
}


@pytest.fixture(scope="module")
def records(sample):
    return Records(sample.ask)


@pytest.fixture(scope="module")
def months(sample):
    """The months that are over, oldest first, with what the feeds cover of each."""
    found = sample.ask("SELECT * FROM trends.months ORDER BY month")
    assert [row.last_day for row in found] == [
        row.month.replace(day=monthrange(row.month.year, row.month.month)[1]) for row in found
    ]
    assert found[-1].last_day < AS_OF
    return found


@pytest.fixture(scope="module")
def counts(records, months):
    """Month to measure to (how many, out of how many), for everybody."""
    return {row.month: records.counts(row.month, row.last_day, None) for row in months}


@pytest.fixture(scope="module")
def measures(sample):
    return {row.measure: row for row in sample.ask("SELECT * FROM policy.measures WHERE has_section ORDER BY position")}


@pytest.fixture(scope="module")
def points(measures, months, counts):
    """Measure to month to its point, from the first month that its feed covers; judged."""
    found = {}
    for name, measure in measures.items():
        if name == "under_provided_lying":
            continue
        covered = [row for row in months if getattr(row, COVERED_BY.get(name, "injuries_known"))]
        found[name] = {
            row.month: Point(*counts[row.month][name], is_share=measure.kind == "proportion") for row in covered
        }
        # Late records still change the newest two.
        for month in list(found[name])[-2:]:
            found[name][month].is_provisional = True
        judge(list(found[name].values()))
    return found


@pytest.fixture(scope="module")
def page(sample):
    """Shared on purpose: each test takes off what it has compared, and the last one looks at what is left."""
    return Printed.of(sample.page("injury_trends"))


def below_need(records):
    """Of the people whose mattress can be judged, how many lie on less than they need."""
    [row] = records.ask(
        "SELECT count(*) FILTER (WHERE verdict = 'under_provided') AS many, count(*) AS judged"
        " FROM fit.provision WHERE position = 'lying' AND verdict <> 'unknown'"
    )
    return Point(row.many, row.judged, is_share=True)


def test_the_verdict_counts_what_moved(page, points, measures):
    said = [conclusion(points, name, measures[name].good) for name in points]
    judged = [words for words in said if not words.startswith("too few")]
    kinds = ("worse than usual", "better than usual", "unlike usual")
    moved = [(sum(words.startswith(kind) for words in judged), kind) for kind in kinds]
    parts = [f"{amount} {'is' if amount == 1 else 'are'} {kind}" for amount, kind in moved if amount]
    assert len(parts) > 1, "the sentence for one kind is another"
    still = judged.count("nothing beyond chance")
    page.says(
        f"Of {len(judged)} measures that can be judged, {', '.join(parts[:-1])} and {parts[-1]} by more than chance;"
        f" {still} show nothing beyond it."
    )
    page.says("The newest 2 months are provisional")
    # Mattress below need has no past, so it is never judged.
    page.says(f"{len(said) + 1 - len(judged)} more measures are shown and cannot be judged.")


def test_the_first_table_has_each_measure_once(page, points, measures, labels, records):
    wanted = []
    for name, measure in measures.items():
        if name == "under_provided_lying":
            when, point, said = "2 March 2026", below_need(records), "This audit only."
        else:
            month, point = newest(points, name)
            when, said = named(month), conclusion(points, name, measure.good)
            said = f"{said[0].upper()}{said[1:]}."
            if point.signal:
                signal = labels["signal", point.signal]
                said = f"{said} {signal[0].upper()}{signal[1:]}."
        days = "" if point.is_share else " days"
        rate = tenth(point.rate) + (" %" if point.is_share else "")
        rate = "no rate (under 50)" if point.is_share and point.of < 50 else rate
        wanted.append([measure.label, when, f"{point.many:,} of {point.of:,}{days}", rate, said])
    assert page.table("Measures in the order") == wanted
    page.says("for each 1,000 person-days. Under 50 people no percentage is printed.")


def test_each_measure_s_sentence(page, points, measures, labels, records):
    for name, measure in measures.items():
        if name == "under_provided_lying":
            page.says(f"On 2 March 2026: {in_words(below_need(records), measure)}")
            continue
        month, point = newest(points, name)
        unit = " %" if point.is_share else ""
        signal = f" The chart says: {labels['signal', point.signal]}." if point.signal else ""
        page.says(f"{measure.label}: {conclusion(points, name, measure.good)} In {named(month)}: ")
        page.says(f"{in_words(point, measure)} Usual is {tenth(point.centre)}{unit}.{signal}")
        stand_out = sum(bool(point.signal) for point in points[name].values())
        months = f"{stand_out} months of" if stand_out > 1 else "1 month of" if stand_out else "No month of"
        caption = f"{measure.label} by month, {'per cent' if point.is_share else 'for each 1,000 person-days'}."
        stand = "stand" if stand_out > 1 else "stands"
        page.says(f"{caption} {months} the {len(points[name])} shown {stand} out by more than chance.")


def test_each_measure_s_table(page, points, measures, labels, counts):
    for name, shown in points.items():
        measure = measures[name]
        judged = not conclusion(points, name, measure.good).startswith("too few")
        wanted = [
            row_of(
                name, month, point, measure=measure, labels=labels, judged=judged,
                certain=[f"{counts[month][CERTAIN[name]][0]:,}"] if name in CERTAIN else [],
            )
            for month, point in shown.items()
        ]  # fmt: skip
        assert page.table(f"{measure.label} by month, oldest first") == wanted, name


def test_each_chart_draws_those_months(page, points, measures, sample):
    html = sample.page("injury_trends")
    kinds = {"for the worse": "mark-worse", "for the better": "mark-better", "a change": "mark-change"}
    for name, shown in points.items():
        drawn = re.search(
            rf'<svg class="picture"[^>]*aria-labelledby="chart-{name.replace("_", "-")}-.*?</svg>', html, re.DOTALL
        )[0]
        ticks = re.findall(r'class="plot-scale" x="0" y="([\d.]+)">([\d.,]+)', drawn)
        # The words of the scale stand five pixels above their lines.
        (floor, _), (roof, top) = ((float(y) + 5, float(value.replace(",", ""))) for y, value in (ticks[0], ticks[-1]))
        marks = re.findall(r'<(?:use|circle) class="([\w-]+)"(?: href="[^"]+")? c?x="([\d.]+)%" c?y="([\d.]+)"', drawn)
        assert len(marks) == len(shown), name
        across = [float(x) for _, x, _ in marks]
        assert across == sorted(across)
        for (kind, _, y), (month, point) in zip(marks, shown.items(), strict=True):
            where = (floor - float(y)) / (floor - roof) * top
            # A tenth of a pixel is what the picture rounds to.
            assert where == pytest.approx(point.rate, abs=0.06 * top / (floor - roof) + 0.0006), (name, month)
            plain = "plot-hollow" if point.is_provisional else "plot-point"
            assert kind == (kinds[meaning(point.signal, measures[name].good)] if point.signal else plain), (name, month)
        ends = [f"{month:%b %Y}" for month in shown]
        axis = re.findall(r'class="plot-scale[^"]*" x="[\d.]+%" y="\d+">([^<]+)', drawn)
        assert axis == [ends[0], ends[len(ends) // 2], ends[-1]], name
        page.says(words_of(drawn))


def test_new_injuries_by_stage(page, points, counts, sample):
    year = [month for month, point in points["new_injuries"].items() if not point.is_provisional][-12:]
    rows = page.table(f"New injuries by stage, {named(year[0])} to {named(year[-1])}, all teams")
    stages = {row.label.lower(): row.stage for row in sample.ask("SELECT stage, label FROM policy.stages")}
    assert {row[0].lower() for row in rows} == set(stages)
    for label, new, certain in rows:
        stage = stages[label.lower()]
        assert int(new) == sum(counts[month][f"new_injuries_{stage}"][0] for month in year), label
        assert int(certain) == sum(counts[month][f"acquired_injuries_{stage}"][0] for month in year), label
    assert sum(int(row[1]) for row in rows) == sum(counts[month]["new_injuries"][0] for month in year)


def test_how_long_healing_takes(page, records, labels):
    rows = page.table("All pressure injuries on record, all teams, by first stage")
    everybody = spells(records)
    by_stage = {labels["stage", stage].capitalize(): stage for stage in {spell.stage for spell in everybody}}
    for label, many, healed, died, *told in rows:
        found = [spell for spell in everybody if label == "All" or spell.stage == by_stage[label]]
        ends = [spell.end for spell in found]
        assert [many, healed, died] == [f"{n}" for n in (len(found), ends.count("healed"), ends.count("died"))], label
        if len(found) < 50:
            assert told == ["no rate (under 50)"] * 3
            continue
        shares = [by_then(found, day) for day in (28, 84)]
        assert told == [*(" ".join(f"{tenth(100 * float(one))} %" for one in both) for both in shares),
                        f"{half_after(found)} days"], label  # fmt: skip
    # A stage of which nobody healed and nobody died has no row.
    ended = {spell.stage for spell in everybody if spell.end != "open"}
    assert [row[0] for row in rows[1:]] and {by_stage[row[0]] for row in rows[1:]} == ended


def test_what_leaves_a_team_is_right_and_gives_no_small_number_away(page, points, measures, records):
    rows = page.table("Measures by team")
    teams = sorted({row[1] for row in rows})
    assert len(rows) == len(teams) * len(measures)
    for name, measure in measures.items():
        shown = {row[1]: row for row in rows if row[0].startswith(f"{measure.label}, ")}
        true = {team: team_figure(records, points, name, team) for team in teams}
        hidden = [team for team in teams if shown[team][2] == "not shown"]
        for team, row in shown.items():
            (many, of), is_share = true[team], measure.kind == "proportion"
            assert row[3] == f"{of:,}" or (row[3] == "not shown" and is_share and of < 5), (name, team)
            if team in hidden:
                assert row[4:] == ["not shown", "not shown"]
                continue
            assert row[2] == f"{many:,}" and not 1 <= many <= 4, (name, team)
            point = Point(many, of, is_share=is_share)
            low, high = (tenth(value) for value in point.interval)
            unit = " %" if is_share else ""
            under = ["no rate (under 50)", "no rate (under 50)"]
            told = [f"{tenth(point.rate)}{unit}", f"{low} to {high}{unit}"]
            assert row[4:] == (under if is_share and of < 50 else told), (name, team)
        # Everybody's figure is printed too, so what is hidden must not follow from what is left.
        rest = sum(true[team][0] for team in hidden)
        assert len(hidden) != 1, name
        assert not hidden or len(hidden) < rest < 4 * len(hidden) or max(true[team][0] for team in hidden) > 4, name


def team_figure(records, points, name, team):
    """(how many, out of how many) of one team, in the month that its measure is judged by."""
    if name == "under_provided_lying":
        [row] = records.ask(
            "SELECT count(*) FILTER (WHERE verdict = 'under_provided') AS many, count(*) AS judged FROM fit.provision"
            " JOIN state.clients USING (client_id) WHERE position = 'lying' AND verdict <> 'unknown' AND team = ?",
            team,
        )
        return row.many, row.judged
    month, _ = newest(points, name)
    last = month.replace(day=monthrange(month.year, month.month)[1])
    return records.counts(month, last, team)[name]


def test_steps_that_cannot_be(page, records):
    # A wound that was a stage 4 is one until it has closed: NPIAP 2016, no reverse staging.
    backwards = [
        look
        for looks in records.injuries
        for place, look in enumerate(looks)
        if look.stage == "stage_3" and not look.closed and "stage_4" in [was.stage for was in looks[:place]]
    ]
    rows = page.table("Steps from look to look")
    assert [row[:4] for row in rows] == [["stage 4", "stage 3", f"{len(backwards)}", "cannot be"]]


def test_the_words_that_say_which_months_and_which_rules(page, months, sample):
    page.says("Injury trends to February 2026 As of Monday 2 March 2026, as known on Monday 2 March 2026 at 06:00.")
    page.says("Injury trends to 2 March 2026.")
    page.says(f"each month that is over, {named(months[0].month)} to {named(months[-1].month)}.")
    amounts = {row.name: int(row.amount) for row in sample.ask("SELECT name, amount FROM policy.parameters")}
    page.says(f"the first {amounts['trend_baseline_months']} months together")
    page.says(f"hold fewer than {amounts['trend_baseline_events']} events, none does.")
    page.says(f"for more than {amounts['injury_seen_within_days']} days leaves the first measure")
    page.says(f"Counts from {amounts['small_number_from']} to {amounts['small_number_to']} are not shown")
    for row in sample.ask("SELECT DISTINCT source FROM policy.blocks WHERE kind = 'signal'"):
        page.words = page.words.replace(row.source, " ")


def test_no_figure_was_left_unread(page, sample):
    # Banners and provenance are the weekly audit's, word for word, and compared there.
    same = Printed.of(sample.page("weekly_audit")).words
    assert [words for words in page.unread() if words not in same and "2 March 2026" not in words] == []
