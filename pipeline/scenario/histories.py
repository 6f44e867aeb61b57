"""Courses written by hand (`histories.toml`) as records, with what must be found in them."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from pipeline.scenario.frailty import ITEMS
from pipeline.scenario.records import Chart, Fault
from pipeline.scenario.service import LOANS_SILENT_DAYS, TEAMS, Calendar
from pipeline.scenario.surfaces import PUMP_FED

# One in four of the people may be written by hand; a very small sample has only the first of them.
SHARE = 4
# The loans export must have carried what is seen on the last Monday.
LOANS_KNOWN = LOANS_SILENT_DAYS + 1
# Before this many days back the form was answered as usual, so that what it says since then is news.
BEFORE = 40


@dataclass(frozen=True)
class History:
    """One person's own lines of the file; what is not in them is as usual."""

    said: Mapping[str, Any]
    usual: Mapping[str, Any]

    def __getitem__(self, name: str) -> Any:
        return self.said.get(name, self.usual.get(name))

    @property
    def client_id(self) -> str:
        return self.said["id"]

    @property
    def number(self) -> str:
        return self.client_id[2:]


@cache
def _read() -> tuple[History, ...]:
    text = Path(__file__).with_name("histories.toml").read_text(encoding="utf-8")
    book = tomllib.loads(text)
    return tuple(History(person, book["usual"]) for person in book["person"])


def histories(people: int) -> tuple[History, ...]:
    """The first of them, at most one in four of the caseload."""
    return _read()[: people // SHARE]


def reserved_numbers() -> frozenset[int]:
    """Numbers that nobody else may bear, at any size."""
    also = [person["also"] for person in _read() if person["also"]]
    return frozenset(int(client_id[2:]) for client_id in [*(person.client_id for person in _read()), *also])


def write_history(chart: Chart, person: History, calendar: Calendar) -> None:
    """All records of one person, and what is expected to be said of them."""
    page = _Page(chart, person, calendar.last)
    page.register()
    page.scores()
    page.forms()
    page.wounds()
    page.loans()
    page.actions()
    page.expectations()


@dataclass
class _Page:
    """Writes one person's records; days are counted back from the last Monday."""

    chart: Chart
    person: History
    last: date

    def day(self, ago: int) -> date:
        return self.last - timedelta(days=ago)

    def at(self, ago: int, hour: int = 10) -> datetime:
        return datetime.combine(self.day(ago), time(hour, 15))

    def dated(self, cells: Mapping[str, Any]) -> dict[str, object]:
        """Whole numbers in day columns become days; a blank takes a cell away."""
        return {
            name: self.day(value) if name.endswith("_on") and isinstance(value, int) else value
            for name, value in cells.items()
            if value != ""
        }

    def started(self) -> int:
        return max(self.person["started"], self.person["ended"] or 0)

    def bearer(self, ago: int) -> str:
        """Who the record systems took the person for at the time."""
        also = self.person["also"]
        return also if also and ago > self.person["also_until"] else self.person.client_id

    def register(self) -> None:
        person, started = self.person, self.started()
        self.chart.write("clients", person.client_id, self.at(started, 8), {
            "sex": person["sex"], "age_years": person["age"],
            "age_months": person["age"] * 12 + 3 if person["age"] < 5 else None,
        })  # fmt: skip
        if person["is_placed"] is False:
            return
        team = next(team for team in TEAMS if team.name == person["team"])
        cells: dict[str, object] = {
            "client_id": person.client_id, "care_setting": team.care_setting, "site": f"{team.site}1",
            "team": team.name, "clinician": person["clinician"], "referred_on": self.day(started + 3),
            "referral_urgency": "soon", "first_contact_at": self.at(started), "started_at": self.at(started, 9),
        }  # fmt: skip
        if person["planned_end"]:
            cells |= {"planned_end_on": self.day(person["planned_end"]), "going_to": person["going_to"]}
        self.chart.write("placements", f"P-{person.number}-1", self.at(started, 12), cells)
        if person["ended"]:
            cells |= {
                "ended_at": self.at(person["ended"]),
                "end_reason": person["end_reason"],
                "going_to": person["going_to"],
            }
            self.chart.write("placements", f"P-{person.number}-1", self.at(person["ended"], 15), cells)
        if person["also"]:
            self.chart.write(
                "clients", person["also"], self.at(started, 8), {"sex": person["sex"], "age_years": person["age"]}
            )
            self.chart.write("merges", person["also"], self.at(person["merged_on"]), {
                "client_id": person.client_id, "merged_on": self.day(person["merged_on"]),
            })  # fmt: skip

    def scores(self) -> None:
        first = {"ago": self.started(), "items": self.person["scores"][0]["items"]} if self.person["scores"] else None
        made = [*([first] if first and first["ago"] != self.person["scores"][0]["ago"] else []), *self.person["scores"]]
        for score in made:
            known = sum(other["ago"] > score["ago"] for other in made) + 1
            items = {
                name: value or None for name, value in zip(ITEMS[self.person["scale"]], score["items"], strict=True)
            }
            extra = {name: value for name, value in score.items() if name not in ("ago", "items")}
            total = sum(value for value in items.values() if value)
            cells = {"recorded_total": total} | extra
            self.chart.write("assessments", f"A-{self.person.number}-{known:03d}", self.at(score["ago"], 11), {
                "client_id": self.bearer(score["ago"]), "assessed_at": self.at(score["ago"]),
                "scale": self.person["scale"], **items, **cells, "assessor": "S01-SB", "assessor_role": "nurse",
            })  # fmt: skip

    def forms(self) -> None:
        said = dict(self.person.said.get("form", {}))
        ago = said.pop("ago", 9)
        usual = self.person.usual["form"]
        days = [self.started() - 1, *(back for back in (BEFORE,) if ago < BEFORE < self.started()), ago]
        for number, back in enumerate(days, start=1):
            # What the person leaves open was never asked of them.
            filled = usual | dict.fromkeys((n for n, v in said.items() if v == ""), "")
            filled |= said if back == ago else {}
            # Days in the form are as of the newest one; on an older form they lie as far back from its own day.
            filled = {n: v + back - ago if n.endswith("_on") and isinstance(v, int) else v for n, v in filled.items()}
            self.chart.write("circumstances", f"F-{self.person.number}-{number:03d}", self.at(back, 14), {
                "client_id": self.bearer(back), "observed_on": self.day(back), **self.dated(filled),
            })  # fmt: skip

    def wounds(self) -> None:
        for number, wound in enumerate(self.person["wounds"] or (), start=1):
            about = {name: value for name, value in wound.items() if name not in ("looks", "stage")}
            for place, look in enumerate(wound["looks"], start=1):
                seen = {name: value for name, value in look.items() if name != "ago"}
                injury = f"W-{self.person.number}-{number}"
                self.chart.write("injuries", f"{injury}-{place:02d}", self.at(look["ago"], 13), {
                    "injury_id": injury, "client_id": self.person.client_id, "observed_at": self.at(look["ago"], 11),
                    "first_noticed_on": self.day(look["ago"]) if place == 1 else None, "signs_of_infection": False,
                    "status": "open", **about, **self.dated(seen),
                })  # fmt: skip

    def loans(self) -> None:
        for number, loan in enumerate(self.person["loans"], start=1):
            said = dict(loan)
            is_waiting = said.pop("is_waiting", False)
            cells = self.person.usual["loan"] | {"device_id": f"D-{self.person.number}-{number}"}
            if said["surface_class"] in PUMP_FED:
                cells |= self.person.usual["pump"]
            if said["surface_class"] not in ("foam", "static_air", "cushion_foam", "cushion_air"):
                cells |= dict.fromkeys(("bottoming_check", "bottoming_method", "bottoming_checked_on"), "")
            if said["position"] == "sitting":
                cells |= {"is_overlay": "", "width_cm": 45}
            if is_waiting:
                cells = {"owner": "loan_service"}
            issued = said.get("issued_on", min(cells.get("issued_on", 0), max(13, self.started() - 3)))
            if not is_waiting:
                shift = cells["issued_on"] - issued
                dates = ("need_identified_on", "requested_on", "issued_on", "trial_started_on", "trial_reviewed_on",
                         "skin_checked_on")  # fmt: skip
                cells |= {name: cells[name] - shift for name in dates if isinstance(cells[name], int)}
            cells |= {"loan_status": "issued"} | said
            self._loan_versions(f"L-{self.person.number}-{number}", cells, is_waiting=is_waiting)

    def _loan_versions(self, record_id: str, cells: dict[str, Any], *, is_waiting: bool) -> None:
        who = {"client_id": self.person.client_id}
        if cells["owner"] in ("care_home", "hospital"):
            who["placement_id"] = f"P-{self.person.number}-1"
        if is_waiting:
            self.chart.write("loans", record_id, self.at(cells["requested_on"]), who | self.dated(cells))
            return
        issue = {name: cells[name] for name in ISSUE if name in cells}
        self.chart.write(
            "loans", record_id, self.at(cells["issued_on"], 15), who | self.dated(issue | {"loan_status": "issued"})
        )
        known = cells.get("returned_on", LOANS_KNOWN)
        # What is usually seen since then cannot have been seen of a surface that had gone back.
        later = {name for name, ago in cells.items() if name.endswith("_on") and isinstance(ago, int) and ago < known}
        cells = {name: cell for name, cell in cells.items() if name not in later}
        self.chart.write("loans", record_id, self.at(known, 16), who | self.dated(cells))

    def actions(self) -> None:
        for number, action in enumerate(self.person["actions"] or (), start=1):
            said = dict(action)
            loan = said.pop("loan", None)
            self.chart.write("actions", f"N-{self.person.number}-{number:02d}", self.at(said["acted_on"], 16), {
                "client_id": self.person.client_id, "loan_id": f"L-{self.person.number}-{loan}" if loan else None,
                "role": "occupational_therapist", **self.dated(said),
            })  # fmt: skip

    def expectations(self) -> None:
        """Each names the newest version of the record that makes it true."""
        newest = {(v.feed, v.record_id): v.updated_at for v in self.chart.versions}
        for kind, word, feed, number, *earlier in self.person["expect"]:
            record_id = self.record_id(feed, number)
            known_at = newest.get((feed, record_id), self.at(self.started(), 12))
            self.chart.faults.append(
                Fault(
                    self.person["story"],
                    feed,
                    record_id,
                    self.person.client_id,
                    known_at,
                    kind,
                    word,
                    self.day(*(earlier or [0])),
                )
            )

    def record_id(self, feed: str, number: int) -> str:
        bare = self.person.number
        if number == 0:
            return ""
        if feed == "assessments":
            before = self.person["scores"][0]["ago"] != self.started()
            return f"A-{bare}-{number + before:03d}"
        if feed == "circumstances":
            return max(v.record_id for v in self.chart.versions if v.record_id.startswith(f"F-{bare}-"))
        if feed == "injuries":
            looks = [v.record_id for v in self.chart.versions if v.record_id.startswith(f"W-{bare}-")]
            wounds = self.person["wounds"]
            return (
                looks[number - 1]
                if len(wounds) == 1 and number > 1
                else f"W-{bare}-{number}-{len(wounds[number - 1]['looks']):02d}"
            )
        return {"placements": f"P-{bare}-1", "merges": self.person["also"]}.get(feed) or {
            "loans": f"L-{bare}-{number}", "actions": f"N-{bare}-{number:02d}",
        }[feed]  # fmt: skip


ISSUE = (
    "position", "surface_class", "is_overlay", "owner", "need_identified_on", "requested_on", "issued_on",
    "max_user_kg", "min_user_kg", "width_cm", "made_on",
)  # fmt: skip
