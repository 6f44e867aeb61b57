"""What happened in each month of the sample, counted again in plain loops from the records, day by day.

Nothing of trends.* is read here but which months a feed covers; risk.scores says which scores are usable.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from types import SimpleNamespace

DEEP = {"stage_3", "stage_4", "unstageable", "deep_tissue_injury"}
NUMBERED = {"stage_1", "stage_2", "stage_3", "stage_4"}
SEEN_WITHIN = timedelta(days=28)
DAY = timedelta(days=1)
Ask = Callable[..., list[SimpleNamespace]]


@dataclass(frozen=True)
class Event:
    """Something that counts: what, whom it happened to, on which day, and which injury if it is about one."""

    measure: str
    client_id: str
    on: date


class Records:
    """The sample's records, read once; `first` and `last` bound each month, last day included."""

    def __init__(self, ask: Ask) -> None:
        self.ask = ask
        [audit] = ask("SELECT as_of FROM review.parameters")
        self.as_of = audit.as_of

    @cached_property
    def stays(self) -> dict[str, list[SimpleNamespace]]:
        found = defaultdict(list)
        rows = self.ask(
            "SELECT client_id, placement_id, team, care_setting, started_at, CAST(started_at AS DATE) AS first,"
            " CAST(ended_at AS DATE) AS ended, end_reason FROM records.placements"
        )
        died = {row.client_id: row.ended for row in rows if row.end_reason == "died"}
        for row in rows:
            dead = died.get(row.client_id)
            # A death ends whatever was open on that day.
            if dead and dead >= row.first:
                row.ended = min(dead, row.ended or dead)
            found[row.client_id].append(row)
        return found

    def stay_on(self, client_id: str, day: date) -> SimpleNamespace | None:
        """The newest stay in force at the end of the day; the day of leaving is nobody's."""
        stays = [stay for stay in self.stays[client_id] if stay.first <= day and (not stay.ended or stay.ended > day)]
        return max(stays, key=lambda stay: (stay.started_at, stay.placement_id), default=None)

    def stay_at_event(self, client_id: str, day: date) -> SimpleNamespace | None:
        """What is found on the day of leaving was found by the team that is left."""
        return self.stay_on(client_id, day) or self.stay_on(client_id, day - DAY)

    @cached_property
    def injuries(self) -> list[list[SimpleNamespace]]:
        """The looks at each pressure injury in order; what the newest look calls the cause holds for all of them."""
        found = defaultdict(list)
        for row in self.ask("SELECT *, CAST(observed_at AS DATE) AS seen FROM records.injuries"):
            row.closed = row.status == "closed"
            found[row.injury_id].append(row)
        for looks in found.values():
            looks.sort(key=lambda look: (look.observed_at, not look.closed, look.injury_observation_id))
        return [looks for looks in found.values() if looks[-1].cause in (None, "pressure", "not_settled")]

    def depth(self, look: SimpleNamespace) -> bool | None:
        """Whether a look tells of full thickness; None where the stage cannot be what it says."""
        is_contradicted = look.stage == "stage_2" and look.tissue in ("granulation", "slough", "necrotic")
        if is_contradicted or (look.location == "mucosa" and look.stage in NUMBERED):
            return None
        return True if look.stage in DEEP else False if look.stage in ("stage_1", "stage_2") else None

    def injury_events(self) -> Iterator[Event]:
        """New, acquired for certain, by stage, deep, deepened: an injury once for each."""
        for looks in self.injuries:
            who = looks[0].client_id
            origin = next(
                (look.present_on_admission for look in looks if look.present_on_admission in ("yes", "no")), None
            )
            stage = next((look.stage for look in looks if self.depth(look) is not None), looks[0].stage)
            if origin != "yes":
                for measure in ("new_injuries", f"new_injuries_{stage}"):
                    yield Event(measure, who, looks[0].seen)
            if origin == "no":
                for measure in ("acquired_injuries", f"acquired_injuries_{stage}"):
                    yield Event(measure, who, looks[0].seen)
            told = [look for look in looks if self.depth(look) is not None]
            deep = next((look for look in told if self.depth(look)), None)
            if deep is None:
                continue
            has_deepened = deep is not told[0]
            if has_deepened or origin != "yes":
                yield Event("new_full_thickness", who, deep.seen)
            if has_deepened or origin == "no":
                yield Event("acquired_full_thickness", who, deep.seen)
            if has_deepened:
                yield Event("worsened_injuries", who, deep.seen)

    def skin_events(self) -> Iterator[Event]:
        """Each day on which somebody's skin was looked at."""
        rows = self.ask("SELECT DISTINCT client_id, skin_checked_on, skin_found FROM records.circumstances")
        seen = {(row.client_id, row.skin_checked_on) for row in rows if row.skin_found != "not_seen"}
        for client_id, day in seen:
            if day and self.stay_on(client_id, day):
                yield Event("skin_looks", client_id, day)

    def counts(self, first: date, last: date, team: str | None) -> dict[str, tuple[int, int]]:
        """Measure to (how many, out of how many) in one month; `team` None is everybody."""
        ours = lambda stay: stay is not None and team in (None, stay.team)  # noqa: E731
        days = [first + DAY * n for n in range((last - first).days + 1)]
        person_days = sum(ours(self.stay_on(client, day)) for client in self.stays for day in days)
        happened = defaultdict(list)
        for event in (*self.injury_events(), *self.skin_events()):
            if first <= event.on <= last and ours(self.stay_at_event(event.client_id, event.on)):
                happened[event.measure].append(event.client_id)
        found = {measure: (len(who), person_days) for measure, who in happened.items()}
        for new, people in (("new_injuries", "new_injury_people"), ("acquired_injuries", "acquired_injury_people")):
            found[people] = (len(set(happened[new])), person_days)
        return defaultdict(
            lambda: (0, person_days), found | self.at_month_end(last, ours) | self.closed(first, last, ours)
        )

    def open_looks(self, client_id: str, day: date) -> list[SimpleNamespace]:
        """The newest look by then at each injury that it left open."""
        newest = [
            [look for look in looks if look.seen <= day][-1]
            for looks in self.injuries
            if looks[0].client_id == client_id and looks[0].seen <= day
        ]
        return [look for look in newest if not look.closed]

    def at_month_end(self, last: date, ours: Callable) -> dict[str, tuple[int, int]]:
        here = [client for client in self.stays if ours(self.stay_on(client, last))]
        looks = {client: self.open_looks(client, last) for client in here}
        seen = [client for client in here if any(last - look.seen <= SEEN_WITHIN for look in looks[client])]
        unseen = [client for client in here if any(last - look.seen > SEEN_WITHIN for look in looks[client])]
        due = [self.due_on(client, last, has_wound=bool(looks[client])) for client in here]
        timed = [day for day in due if day is not None]
        return {
            "prevalence": (len(seen), len(here)),
            "unseen_injuries": (len(unseen), len(here)),
            "overdue_reassessments": (sum(last > day for day in timed), len(timed)),
        }

    def closed(self, first: date, last: date, ours: Callable) -> dict[str, tuple[int, int]]:
        """Of the injuries looked at in the month and open at some time of it, how many its last look found closed."""
        treated = healed = 0
        for looks in self.injuries:
            places = [place for place, look in enumerate(looks) if first <= look.seen <= last]
            was_open = any(not looks[n].closed or (n and not looks[n - 1].closed) for n in places)
            if was_open and ours(self.stay_at_event(looks[0].client_id, looks[places[-1]].seen)):
                treated += 1
                healed += looks[places[-1]].closed
        return {"closed_injuries": (healed, treated)}

    @cached_property
    def scores(self) -> dict[str, list[SimpleNamespace]]:
        found = defaultdict(list)
        for row in self.ask(
            "SELECT client_id, CAST(assessed_at AS DATE) AS scored, risk_rung FROM risk.scores WHERE band IS NOT NULL"
            " AND suits_age IS NOT FALSE ORDER BY assessed_at, risk_rung, scale, assessment_id"
        ):
            found[row.client_id].append(row)
        return found

    @cached_property
    def intervals(self) -> list[SimpleNamespace]:
        return self.ask("SELECT * FROM policy.intervals")

    def due_on(self, client_id: str, last: date, *, has_wound: bool) -> date | None:
        """The last day in time: from the newest score of this time on the caseload, else from its beginning."""
        spell = last
        while self.stay_on(client_id, spell - DAY):
            spell -= DAY
        setting = self.stay_on(client_id, last).care_setting
        score = next((row for row in reversed(self.scores[client_id]) if row.scored <= last), None)
        score = score if score and score.scored >= spell else None
        kinds = {"routine", *(("wound",) if has_wound else ())} if score else {"first"}
        within = [
            row.within_days if row.within_days is not None else -(-row.within_hours // 24)
            for row in self.intervals
            if row.care_setting == setting and row.kind in kinds
            and (row.risk_rung is None or (score and row.risk_rung == score.risk_rung))
            and (row.within_days is not None or row.within_hours is not None)
        ]  # fmt: skip
        return (score.scored if score else spell) + timedelta(days=min(within)) if within else None
