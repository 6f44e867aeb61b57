"""Every figure that the weekly audit of the sample prints, against a count of its own; no figure is left unread."""

import json
from collections import Counter, defaultdict
from datetime import date, datetime, timedelta
from itertools import takewhile

import pytest

from tests.end_to_end import weekly_figures
from tests.end_to_end.printed import Printed, cells, counted
from tests.sample_audit import asked

pytestmark = pytest.mark.slow

AS_OF = date(2026, 3, 2)
WEEK_BEFORE = AS_OF - timedelta(days=7)
VERDICTS = ("matched", "under_provided", "contraindicated", "over_provided", "unknown")
NEEDS = ("very_high", "high", "at_risk", "low", "unknown")


@pytest.fixture(scope="module")
def before(sample, tmp_path_factory):
    """The warehouse of the week before, reviewed by itself over a copy of the store, and not as a week before."""
    return sample.reviewed_again(tmp_path_factory.mktemp("week_before") / "ws", as_of=WEEK_BEFORE)


@pytest.fixture(scope="module")
def figures(sample):
    [counted] = sample.ask(weekly_figures.FIGURES)
    return counted


@pytest.fixture(scope="module")
def then(before):
    [counted] = asked(before, weekly_figures.FIGURES)
    return counted


@pytest.fixture(scope="module")
def page(sample):
    """Shared on purpose: each test takes off what it has compared, and the last one looks at what is left."""
    return Printed.of(sample.page("weekly_audit"))


def test_the_verdict(page, figures, then, before, sample):
    now, old = sample.ask(weekly_figures.FINDINGS), asked(before, weekly_figures.FINDINGS)
    urgent, was = (
        {row.client_id for row in rows if row.asks and row.is_visit and row.severity == "urgent"} for rows in (now, old)
    )
    assert (len(urgent), len(was)) == (figures.urgent, then.urgent)
    page.says(
        f"{len(urgent)} of the {figures.people} people on the caseload need someone today or tomorrow"
        f" (on 23 February: {len(was)} of {then.people}; since then {len(was - urgent)} dealt with,"
        f" {len(urgent - was)} new, {len(urgent & was)} still open)."
    )


def test_bed_and_seat(page, figures, sample):
    rows = sample.ask(weekly_figures.PROVISION)
    bed, seat = (weekly_figures.by_verdict(rows, position) for position in ("lying", "sitting"))
    assert sum(bed.values()) == figures.people
    page.says(f"For {bed['unknown']} people we cannot judge the mattress, which is not the same as safe.")
    for total, of, words in ((bed, figures.people, ""), (seat, sum(seat.values()), "Of those who sit out: ")):
        page.says(
            f"{sum(total.values()) - total['unknown']} of {of} can be judged {words}{total['matched']} meet need,"
            f" {total['under_provided']} below it, {total['over_provided']} above it (step-down review),"
            f" {total['contraindicated']} unsafe as set up."
        )
    page.says(
        f"{counted(bed['under_provided'], 'person lies', 'people lie')} and"
        f" {counted(seat['under_provided'], 'sits', 'sit')} on less than they need; for {bed['unknown']} the mattress"
        f" and for {seat['unknown']} the seat cannot be judged."
    )
    page.says(
        f"Of the {bed['matched']} mattresses whose class meets the need, for {figures.base_unchecked}"
        " it is not recorded whether the body reaches the base."
    )
    page.says(f"{counted(figures.with_care, 'bed or seat', 'beds and seats')} whose class meets the need ask")


def test_reassessment_and_new_injuries(page, figures, then):
    percent = round(100 * figures.overdue / figures.people)
    page.says(f"{figures.overdue} of {figures.people} overdue ({percent} %)")
    page.says(f"On 23 February 2026: {then.overdue} of {then.people}.")
    page.says(
        f"{figures.overdue_wounded} of the {figures.overdue} have an open wound."
        f" {figures.due_four_weeks} more fall due in four weeks."
    )
    page.says(
        f"New injuries since 23 February 2026 {figures.new_injuries} in"
        f" {counted(figures.new_people, 'person', 'people')} {figures.new_deep} full-thickness or deep."
        f" {counted(figures.new_present, 'was', 'were')} there when the person came, {figures.new_acquired} arose on"
        f" the caseload, {figures.new_not_known} not known."
    )


def test_who_to_see_first(page, figures, sample, labels):
    never = sample.ask("SELECT client_id FROM audit.reassessments WHERE status = 'never'")
    shown = sample.ask(
        "SELECT DISTINCT f.client_id FROM audit.findings AS f JOIN policy.rules AS r USING (rule) WHERE f.is_shown"
        " AND r.list_name = 'people' AND f.severity <> 'routine'"
    )
    listed = {row.client_id for row in (*never, *shown)}
    urgent = sample.ask(weekly_figures.URGENT)
    kinds = Counter(labels["family", row.family].lower() for row in urgent)
    page.says(
        f"{figures.urgent} people today or tomorrow, {figures.soon} more within ten working days."
        f" What leads, of the {len(urgent)}:"
        f" {'; '.join(f'{kind} {kinds[kind]}' for kind in kinds)}."
        f" The first 15 of {len(listed)} stand here, the next {len(urgent) - 15} of today or tomorrow in one line"
    )
    # Row by row this table is held to `explain` in test_explain_of_everybody.py.
    rows = page.table("Worst first")
    assert [row[0].split()[0] for row in rows] == [row.client_id for row in urgent[:15]]
    for row, told in zip(page.table("In the same order, one line each"), urgent[15:], strict=True):
        assert row[0] == told.client_id
        assert row[1].startswith(told.title + (f" and {told.others} more" if told.others else ""))
        assert (f" {told.lateness} day" in row[2]) == bool(told.lateness)
        assert row[3].startswith(told.team or "team not recorded")


def test_teams(page, sample):
    rows = sample.ask(weekly_figures.TEAMS)
    assert page.table("People by team") == [
        cells(row.team or "Team not recorded", row.people, row.urgent, row.late, row.due_four_weeks, row.cannot_judge)
        for row in rows
    ]


def test_the_picture_and_its_table(page, sample, labels):
    amounts = defaultdict(Counter)
    for row in sample.ask(weekly_figures.PROVISION):
        amounts[row.position, row.need_level][row.verdict] = row.people
    order = sorted(amounts, key=lambda key: (key[0], NEEDS.index(key[1])))
    wanted = []
    for position, need in order:
        where, level = labels["position", position].capitalize(), labels["need", need]
        total = amounts[position, need]
        wanted.append(cells(f"{where}: {level}", total.total(), *(total[kind] for kind in VERDICTS)))
        # A part that is too narrow for its number leaves it to the table; the others follow in the table's order.
        bar = f"{where}, {level}: {counted(total.total(), 'person', 'people')}"
        numbers = [str(total[kind]) for kind in VERDICTS if total[kind]]
        drawn = list(takewhile(str.isdigit, page.words.partition(bar)[2].split()))
        assert drawn == [number for number in numbers if number in drawn], bar
        page.says(" ".join([bar, *drawn]))
    assert page.table("People by position and need") == wanted


def test_what_changed(page, figures, sample, before):
    now, old = sample.ask(weekly_figures.FINDINGS), asked(before, weekly_figures.FINDINGS)
    then_ids, now_ids = {row.finding_id for row in old}, {row.finding_id for row in now}
    change = {"new": Counter(), "standing": Counter(), "resolved": Counter()}
    for row in now:
        if row.asks:
            change["standing" if row.finding_id in then_ids else "new"][row.severity] += 1
    for row in old:
        if row.asks and row.finding_id not in now_ids:
            change["resolved"][row.severity] += 1
    page.says(
        f"Since 23 February 2026: {counted(change['new'].total(), 'new finding', 'new findings')},"
        f" {change['standing'].total()} still standing, {change['resolved'].total()} resolved."
        f" {counted(figures.quiet, 'finding is', 'findings are')} quiet for now."
        f" {counted(figures.returned, 'was', 'were')} said to be corrected, and the record disagrees."
    )
    assert page.table("Findings by urgency and change") == [
        cells(severity.capitalize(), *(change[kind][severity] for kind in change))
        for severity in ("urgent", "soon", "routine")
    ]


def test_what_was_answered(page, sample, labels, figures):
    answered = Counter()
    for row in sample.ask("SELECT answer, status, is_told_once FROM audit.findings WHERE answer IS NOT NULL"):
        if row.status != "subsumed" and not row.is_told_once:
            answered[row.answer, row.status] += 1
    printed = page.table("Findings that somebody acted on")
    assert sorted(printed) == sorted(
        cells(labels["answer", answer].capitalize(), labels["finding_status", status], amount)
        for (answer, status), amount in answered.items()
    )
    # What the sentence above the table counts is the same.
    said = {label: sum(int(row[2]) for row in printed if row[1] == label) for label in {row[1] for row in printed}}
    assert said[labels["finding_status", "returned"]] == figures.returned
    assert said[labels["finding_status", "accepted"]] == figures.quiet


def test_what_falls_due(page, sample):
    weeks = defaultdict(Counter)
    for row in sample.ask(weekly_figures.WEEKS):
        weeks[row.team][row.week] = row.people
        weeks[row.team]["first"] += row.first
        weeks[row.team]["change"] += row.change
    late = {row.team: row.late for row in sample.ask(weekly_figures.TEAMS)}
    ends = [f"{day.day} {day:%B}" for day in (AS_OF + timedelta(days=7 * week) for week in (1, 2, 3, 4))]
    kinds = ["of these: first score", "of these: score after a change"]
    caption = next(caption for caption in page.tables if caption.startswith("People whose next reassessment"))
    assert page.tables[caption][0] == ["Team", "Overdue now", *(f"by {end}" for end in ends), *kinds]
    assert page.table(caption) == [
        cells(team or "Team not recorded", late[team], *(weeks[team][part] for part in (1, 2, 3, 4, "first", "change")))
        for team in sorted(late, key=lambda team: (-late[team], team is None, team))
    ]


def test_tasks_for_the_service(page, figures, sample):
    # A rule that is true of more than a fifth of those it could be true of, told once.
    loud = sample.ask(
        "SELECT r.service_sentence, count(*) AS n, (SELECT max(could_apply) FROM audit.verdicts AS v"
        " WHERE v.rule = f.rule) AS m FROM audit.findings AS f JOIN policy.rules AS r USING (rule)"
        " WHERE f.is_told_once GROUP BY f.rule, r.service_sentence"
    )
    assert loud
    for row in loud:
        assert row.n * 5 > row.m
        page.says(f"{row.service_sentence.replace('{n}', str(row.n)).replace('{of}', str(row.m))}.")
    page.says(
        f"Waiting today {figures.waiting} people wait for a surface The longest {figures.waiting_longest} days."
        f" {figures.waiting_deep} of the {figures.waiting} {'has' if figures.waiting_deep == 1 else 'have'}"
        " a full-thickness wound."
    )
    page.says(f"{figures.without_plan} of {figures.powered} powered surfaces have no power-cut plan on record.")
    page.says(f"{figures.services_overdue} services are overdue (our own equipment only).")
    page.says(f"{figures.leaving} people's placements are planned to end within 14 days.")
    page.says(f"{figures.unplaced} person has no placement on record")


def test_how_sure_we_are(page, figures, receipts, sample, labels):
    rows = Counter()
    for receipt in receipts:
        rows.update({(receipt["feed"], name): receipt[name] for name in ("rows_read", "accepted", "held")})
    read, used = (sum(receipt[name] for receipt in receipts) for name in ("rows_read", "accepted"))
    page.says(f"{read:,} rows were received, {used:,} used.")
    page.says(f"{figures.held} rows are held back and still wait for a correction.")
    page.says(f"{figures.held_wounds} of them are about wounds, of {figures.held_wound_people} people,")
    page.says(f"{figures.not_known_yet} more row waits because the person is not known yet.")
    assert ("a rule that the policy does not have" in page.words) == (figures.answers_of_no_rule > 0)
    arrivals = [json.loads(path.read_text()) for path in sample.root.glob("store/arrivals/*.json")]
    last = {
        feed: datetime.fromisoformat(max(arrival["received_at"] for arrival in arrivals if arrival["feed"] == feed))
        for feed in {feed for feed, _ in rows}
    }
    expected = {"clients": 7, "placements": 7, "assessments": 7, "injuries": 7, "loans": 7}
    late = {feed for feed, days in expected.items() if (AS_OF - last[feed].date()).days > days}
    printed = {row[0]: row[1:] for row in page.table("Rows by export")}
    assert printed == {
        labels["feed", feed].capitalize(): cells(
            *(rows[feed, name] for name in ("rows_read", "accepted", "held")),
            f"{last[feed].day} {last[feed]:%B %Y}{' late' if feed in late else ''}",
            f"every {expected[feed]} days" if feed in expected else "no interval agreed",
        )
        for feed in last
    }
    for feed in late:
        days = (AS_OF - last[feed].date()).days
        page.says(f"Late: {labels['feed', feed]} last came on {last[feed].day} {last[feed]:%B %Y}, {days} days ago,")
        page.says(f"expected every {expected[feed]} days.")


def test_what_is_missing(page, figures, sample):
    page.says(f"{figures.with_questions} people have at least one question open")
    assert page.table("The ten facts") == [
        cells(row.label, row.why, row.people) for row in sample.ask(weekly_figures.MISSING)
    ]


def test_banners(page, sample, before, figures, then):
    rule = "SELECT count(DISTINCT client_id) AS people FROM audit.findings WHERE rule = ?"
    [now], [old] = sample.ask(rule, "missing_surface"), asked(before, rule, "missing_surface")
    page.says(f"No mattress recorded, {now.people} of {figures.people} people,")
    page.says(f"last time {old.people} of {then.people}.")
    page.says(f"For {figures.no_mattress_untold} people it cannot be told now, which may be all there is to it.")
    [held] = sample.ask(
        "SELECT count(DISTINCT client_id) AS people FROM quality.held JOIN state.clients USING (client_id)"
        " WHERE status = 'waiting' AND feed IN ('injuries', 'loans', 'circumstances')"
    )
    page.says(f"Rows held back for {held.people} people are about a wound, a surface or circumstances.")
    [unsigned] = sample.ask("SELECT count(DISTINCT file) AS files FROM policy.blocks WHERE signed_off_on IS NULL")
    page.says(f"Policy not signed off: {unsigned.files} files of the policy.")


def test_where_it_comes_from(page, sample, receipts):
    [audit] = sample.ask("SELECT * FROM review.parameters")
    last = max(receipt["received_at"] for receipt in receipts)
    assert (audit.as_of, audit.known_at) == (AS_OF, datetime.fromisoformat(last).replace(tzinfo=None))
    page.says("weekly audit to Monday 2 March 2026 As known on Monday 2 March 2026 at 06:00.")
    page.says("the end of Monday 2 March 2026 As known Monday 2 March 2026 at 06:00 (UTC)")
    page.says("the audit of 23 February 2026")
    page.says("Weekly audit to 2 March 2026.")
    for said in (audit.policy_fingerprint, audit.store_fingerprint, f"caseround {audit.software_version}"):
        page.says(said)


def test_no_figure_was_left_unread(page):
    assert page.unread() == []
