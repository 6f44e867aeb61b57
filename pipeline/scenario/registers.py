"""The two plain registers: who the people are, and where they stay."""

from datetime import datetime, time, timedelta

from pipeline.scenario.caseload import Person
from pipeline.scenario.frailty import Body
from pipeline.scenario.records import Chart, entered, moment, stream
from pipeline.scenario.service import Calendar


def placement_id(person: Person, number: int) -> str:
    """The id of a person's stay with this number, from 1."""
    return f"P-{person.client_id[2:]}-{number}"


def write_person(chart: Chart, person: Person, body: Body, *, seed: int) -> None:
    """One `clients` record on arrival, and a new version when the age changes."""
    chance = stream(seed, person.client_id, "register")
    born = chance.randrange(365)
    start = person.stays[0].start
    cells = {"sex": body.sex if chance.random() > 0.01 else "unknown", "age_years": body.age_years}
    chart.write("clients", person.client_id, moment(start, chance), cells)
    last = person.stays[-1].end
    for year in (1, 2):
        birthday = start + timedelta(days=born + 365 * (year - 1) + 1)
        if last is None or birthday < last:
            at = datetime.combine(birthday, time(7, 30))
            chart.write("clients", person.client_id, at, cells | {"age_years": body.age_years + year})


def write_stays(chart: Chart, person: Person, *, calendar: Calendar, seed: int) -> None:
    """`placements`: a version at the start, one when an end is planned, one at the end."""
    chance = stream(seed, person.client_id, "placements")
    for number, stay in enumerate(person.stays, start=1):
        started = person.began(number, seed=seed)
        in_house = stay.team.care_setting != "community"
        contact = started + timedelta(minutes=chance.randint(20, 300)) if in_house else started
        cells: dict[str, object] = {
            "client_id": person.client_id,
            "care_setting": stay.team.care_setting,
            "site": f"{stay.team.site}{chance.randint(1, 3)}" if in_house else None,
            "team": stay.team.name,
            "clinician": stay.clinician,
            "referred_on": stay.start - timedelta(days=chance.randint(0, 3 if in_house else 12)),
            "referral_urgency": chance.choices(("urgent", "soon", "routine"), weights=(15, 40, 45))[0],
            "first_contact_at": contact,
            "started_at": stay.start if stay.team.days_only and chance.random() < 0.5 else started,
        }
        record = placement_id(person, number)
        chart.write("placements", record, max(entered(started, chance), contact + timedelta(minutes=30)), cells)
        if stay.team.care_setting == "rehabilitation":
            planned = stay.end or calendar.last + timedelta(days=chance.randint(2, 40))
            known = planned - timedelta(days=chance.randint(7, 16))
            if known > stay.start + timedelta(days=1):
                cells |= {"planned_end_on": planned, "going_to": stay.going_to or chance.choice(("home", "community"))}
                chart.write("placements", record, moment(known, chance), cells)
        if stay.end is not None:
            left = moment(stay.end, chance)
            cells |= {"ended_at": left, "end_reason": stay.end_reason}
            cells["going_to"] = stay.going_to or cells.get("going_to")
            chart.write("placements", record, max(entered(left, chance), started + timedelta(days=4)), cells)
