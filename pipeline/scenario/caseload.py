"""Who comes, where they stay and when they leave: each team has a number of places, and a place does not stay empty."""

import heapq
import random
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from pipeline.scenario.records import moment, pick, stream
from pipeline.scenario.service import TEAMS, Calendar, Team


@dataclass(frozen=True)
class Stay:
    """One period with one team, days inclusive; `end` is None while the person is still there."""

    team: Team
    clinician: str
    start: date
    end: date | None
    end_reason: str | None
    going_to: str | None

    def covers(self, day: date) -> bool:
        return self.start <= day and (self.end is None or day < self.end)


@dataclass
class Person:
    """A pseudonym and the stays of its bearer, oldest first."""

    client_id: str
    stays: list[Stay] = field(default_factory=list)

    def began(self, number: int, *, seed: int) -> datetime:
        """The minute at which the stay with this number (from 1) began."""
        return moment(self.stays[number - 1].start, stream(seed, self.client_id, "began", number), latest=14)

    def stay_on(self, day: date) -> Stay | None:
        return next((stay for stay in self.stays if stay.covers(day)), None)


def people_of(calendar: Calendar, *, places: list[int], reserved: frozenset[int], seed: int) -> list[Person]:
    """Everyone who was with a team between the first and the last Monday, in the order of their arrival.

    `places` are the people each team looks after at a time; nobody gets a `reserved` number.
    """
    chance = stream(seed, "caseload")
    on_their_way: dict[str, list[tuple[date, Person]]] = defaultdict(list)
    everyone: list[Person] = []
    vacancies = [(calendar.first, t, place) for t, count in enumerate(places) for place in range(count)]
    heapq.heapify(vacancies)
    while vacancies:
        day, t, place = heapq.heappop(vacancies)
        if day > calendar.last:
            continue
        person = _arrival(everyone, on_their_way[TEAMS[t].name], day, reserved, chance)
        start = day - timedelta(days=chance.randint(0, 200)) if day == calendar.first and t < 3 else day
        left = _stay(person, TEAMS[t], start, calendar, chance)
        if left is None:
            continue
        going_to = person.stays[-1].going_to
        for team in TEAMS[:3]:
            if going_to == team.care_setting and person.stays[-1].team.care_setting != team.care_setting:
                on_their_way[team.name].append((left, person))
                break
        heapq.heappush(vacancies, (left + timedelta(days=chance.randint(0, 4)), t, place))
    return everyone


def _arrival(
    everyone: list[Person],
    waiting: list[tuple[date, Person]],
    day: date,
    reserved: frozenset[int],
    chance: random.Random,
) -> Person:
    """Someone on their way from another team, else somebody new to the service."""
    ready = [entry for entry in waiting if entry[0] <= day <= entry[0] + timedelta(days=10)]
    if ready and chance.random() < 0.9:
        waiting.remove(ready[0])
        return ready[0][1]
    number = int(everyone[-1].client_id[2:]) + 1 if everyone else 1
    while number in reserved:
        number += 1
    person = Person(f"C-{number:04d}")
    everyone.append(person)
    return person


ENDS = {
    "community": {"died": 30, "discharged": 45, "acute": 15, "residential_care": 10},
    "residential_care": {"died": 70, "acute": 20, "other": 10},
    "rehabilitation": {"home": 50, "community": 33, "residential_care": 13, "died": 2, "acute": 2},
}


def _stay(person: Person, team: Team, start: date, calendar: Calendar, chance: random.Random) -> date | None:
    """Add stays in one place until the person leaves it; the day that the place falls empty, None if it does not."""
    clinician = chance.choice(team.clinicians)
    leaves = max(start, calendar.first) + timedelta(days=max(14, round(chance.expovariate(1 / team.stay_days))))
    while team.care_setting != "rehabilitation" and chance.random() < 0.2:
        # A stay in hospital: the place is kept, the home clock pauses, the person comes back.
        away = start + timedelta(days=chance.randint(30, 400))
        back = away + timedelta(days=chance.randint(4, 15))
        if away < calendar.first or back >= leaves:
            break
        if away > calendar.last:
            break
        person.stays.append(Stay(team, clinician, start, away, "transferred", "acute"))
        start = back
    if start > calendar.last:
        return leaves
    if leaves > calendar.last:
        person.stays.append(Stay(team, clinician, start, None, None, None))
        return None
    word = pick(chance, ENDS[team.care_setting])
    reason = word if word in ("died", "other", "discharged") else "discharged" if word == "home" else "transferred"
    going_to = None if word in ("died", "other") else "home" if reason == "discharged" else word
    person.stays.append(Stay(team, clinician, start, leaves, reason, going_to))
    return leaves
