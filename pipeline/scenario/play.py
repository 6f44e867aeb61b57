"""Plays a whole caseload out: everybody's course, then what the records say of it, then the slips on the way here."""

from collections.abc import Callable
from datetime import date, datetime

from pipeline.feeds.columns import FEEDS
from pipeline.scenario.caseload import people_of
from pipeline.scenario.drops import DRAWN_AT, Rows, cut, resend_clients
from pipeline.scenario.forms import write_forms
from pipeline.scenario.frailty import body_of, course_of
from pipeline.scenario.histories import histories, reserved_numbers, write_history
from pipeline.scenario.loan_book import write_supplies
from pipeline.scenario.mistakes import spoil
from pipeline.scenario.records import Chart, Fault
from pipeline.scenario.registers import write_person, write_stays
from pipeline.scenario.responses import write_responses
from pipeline.scenario.scoring import write_scores
from pipeline.scenario.service import TEAMS, Calendar, seats
from pipeline.scenario.skin_notes import write_wounds
from pipeline.scenario.surfaces import supplies_of
from pipeline.scenario.wounds import wounds_of

# What is being counted, how many are done, how many there are.
Progress = Callable[[str, int, int], None]


def play_out(calendar: Calendar, *, people: int, seed: int, progress: Progress) -> tuple[Chart, int]:
    """Everybody's records and the planted faults; and how many people there were."""
    chart = Chart()
    by_hand = histories(people)
    for history in by_hand:
        write_history(chart, history, calendar)
    places = seats(people)
    for number, team in enumerate(TEAMS):
        places[number] = max(0, places[number] - sum(history["team"] == team.name for history in by_hand))
    everyone = people_of(calendar, places=places, reserved=reserved_numbers(), seed=seed)
    for number, person in enumerate(everyone, start=1):
        body = body_of(person, seed=seed)
        course = course_of(person, calendar, seed=seed)
        wounds = wounds_of(person, body, course, calendar=calendar, seed=seed)
        supplies = supplies_of(person, body, course, wounds, calendar=calendar, seed=seed)
        write_person(chart, person, body, seed=seed)
        write_stays(chart, person, calendar=calendar, seed=seed)
        write_scores(chart, person, body, course, wounds, calendar=calendar, seed=seed)
        write_wounds(chart, person, wounds, seed=seed)
        write_supplies(chart, person, body, supplies, calendar=calendar, seed=seed)
        write_forms(chart, person, body, course, wounds=wounds, supplies=supplies, calendar=calendar, seed=seed)
        write_responses(chart, person, wounds=wounds, supplies=supplies, calendar=calendar, seed=seed)
        progress("people", number, len(everyone))
    return chart, len(everyone) + len(by_hand)


def exports(chart: Chart, calendar: Calendar, *, people: int, seed: int) -> dict[tuple[date, str], Rows]:
    """The files by drop day and feed, slips and all. Adds the slips to the chart's faults."""
    files = cut(chart.versions, calendar)
    resend_clients(files, calendar.drops("clients"))
    by_hand = {history.client_id for history in histories(people)}
    spare = {version.record_id for version in chart.versions if version.cells.get("client_id") in by_hand}
    spare |= by_hand | {fault.record_id for fault in chart.faults}
    days = {feed: calendar.drops(feed) for feed in FEEDS}
    chart.faults += spoil(files, days=days, spare=frozenset(spare), seed=seed)
    return files


def send_again(files: dict[tuple[date, str], Rows], calendar: Calendar) -> tuple[date, str, date, Fault] | None:
    """One placements export that is dropped a second time, byte for byte, four weeks before the end.

    Returns the drop it came in first, its feed, the drop it comes in again and the fault; None in a short scenario.
    """
    days = calendar.drops("placements")
    if len(days) < 6 or (days[-6], "placements") not in files:
        return None
    known_at = datetime.combine(days[-5], DRAWN_AT)
    return days[-6], "placements", days[-5], Fault("file sent again", "placements", "", "", known_at, "file", "known")
