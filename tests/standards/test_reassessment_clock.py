"""When risk is to be scored again: published intervals at their edges, from exports to the warehouse.

One export of a service in several settings, read at 06:00 on 9 January 2026, and one of 5 March. Each person is a case.
"""

import datetime as dt

import pytest

from pipeline.resources import policy_dir
from tests.standards import test_waterlow as waterlow
from tests.standards.conftest import Form

BRADEN = ("sensory_perception", "moisture", "activity", "mobility", "nutrition", "friction_shear")
GLAMORGAN = (
    "mobility", "equipment", "anaemia", "pyrexia", "poor_perfusion", "inadequate_nutrition", "low_albumin",
    "incontinence",
)
AT = "2026-01-09T06:00:00Z"
# Six ones are 6, very high; six fours would be 24, so the best form is 4, 4, 4, 4, 4, 3 = 23 (openEHR braden_scale.v1).
WORST, BEST, AT_RISK = (1, 1, 1, 1, 1, 1), (4, 4, 4, 4, 4, 3), (3, 3, 2, 3, 3, 2)


class Service:
    """The rows that go in."""

    def __init__(self):
        self.form = Form("braden", BRADEN)
        self.people: dict[str, dict] = {}
        self.feeds: dict[str, list[dict]] = {"placements": [], "circumstances": [], "injuries": []}

    def person(self, name, setting, started, *scores, **circumstances):
        """One person with a stay, their scores as (when, items), and what one later form says."""
        self.people[name] = {"age_years": 79}
        self.feeds["placements"].append(
            {"placement_id": f"P-{name}", "client_id": name, "care_setting": setting, "started_at": started}
        )
        for place, (when, items) in enumerate(scores):
            self.form.score(f"A-{name}-{place}", *items, client_id=name, assessed_at=when)
        if circumstances:
            self.told(name, "2026-01-08", **circumstances)

    def told(self, name, when, **circumstances):
        """One form about a person's circumstances."""
        rows = self.feeds["circumstances"]
        rows.append(
            {"circumstances_id": f"O-{len(rows)}", "client_id": name, "observed_on": when} | circumstances
        )


def export() -> Service:
    service = Service()
    # NICE QS89: within six hours of admission; exactly six is in time.
    service.person("six_hours", "acute", "2026-01-09T00:00:00")
    service.person("six_hours_and_a_minute", "acute", "2026-01-08T23:59:00")
    service.person("nursing_six_hours", "residential_care", "2026-01-08T23:59:00")
    # Weekly in a care home: due on the seventh day to its end, one day overdue on the eighth.
    service.person("weekly_seventh", "residential_care", "2025-12-01", ("2026-01-02T10:00:00", WORST))
    service.person("weekly_eighth", "residential_care", "2025-12-01", ("2026-01-01T10:00:00", WORST))
    # US minimum data set: a quarterly review not later than 92 days after the last, printed as 1 January to 3 April.
    service.person("quarterly", "residential_care", "2025-12-01", ("2026-01-01T10:00:00", BEST))
    # Braden's authors for acute care (secondary): every 24 to 48 hours.
    service.person("ward", "acute", "2025-12-01", ("2026-01-07T10:00:00", AT_RISK))
    # NICE CG179: score again after surgery, an illness that gets worse, a change in mobility; a score since ends it.
    service.person("fell", "community", "2025-12-01", ("2026-01-02", AT_RISK), fell_on="2026-01-05")
    service.person("operated", "community", "2025-12-01", ("2026-01-02", AT_RISK), surgery_on="2026-01-04")
    service.person("ill", "community", "2025-12-01", ("2026-01-02", AT_RISK), acute_illness_on="2026-01-03")
    service.person("fell_and_scored", "community", "2025-06-01", ("2026-01-05", AT_RISK), fell_on="2026-01-05")
    service.person(
        "fell_and_half_scored", "community", "2025-12-01", ("2026-01-02", AT_RISK),
        ("2026-01-06", (1, 1, 1, 1, 1, None)), fell_on="2026-01-05",
    )
    # CMS RAI manual, chapter 2: within fourteen days of a significant change. interRAI PURS: 5 % in 30 days.
    for name, first, then in (("lost_5", 80, 76), ("lost_less", 80, 76.2), ("gained_5", 80, 84), ("pounds", 80, 176.4)):
        service.person(name, "residential_care", "2025-12-01", ("2026-01-02", BEST), weight_kg=then)
        service.told(name, "2025-12-20", weight_kg=first)
    # A new injury: sooner than the weekly look that an open one asks for anyway (our decision).
    service.person("new_injury", "residential_care", "2025-12-01", ("2026-01-06", BEST))
    service.feeds["injuries"].append(
        {"injury_observation_id": "L-1", "injury_id": "W-1", "client_id": "new_injury", "observed_at": "2026-01-07",
         "location": "sacrum", "stage": "stage_2"}
    )
    for name in ("hip", "no_hip"):
        service.person(name, "residential_care", "2025-12-01")
    return service


def after_surgery() -> Form:
    """Waterlow of somebody three days after an operation on the hip of three hours, and of somebody without one."""
    form = Form("waterlow", waterlow.ITEMS)
    for name, ticks in (("hip", {"surgery_orthopaedic": 1, "surgery_table_time": 5}), ("no_hip", {"cachexia": 1})):
        values = [(waterlow.NOTHING | ticks)[item] for item in waterlow.ITEMS]
        form.score(f"A-{name}", *values, client_id=name, assessed_at="2026-01-08T10:00:00")
    return form


@pytest.fixture(scope="module")
def clock(take_in):
    """A function: the row of audit.reassessments of one person."""
    service = export()
    answers = take_in(service.form, after_surgery(), people=service.people, feeds=service.feeds, at=AT)

    def row(name, columns="kind, due_on, status, days_overdue, interval_id"):
        return answers.ask(f"SELECT {columns} FROM audit.reassessments WHERE client_id = ?", name)[0]

    return row


def day(month, number):
    return dt.date(2026, month, number)


@pytest.mark.parametrize(
    ("name", "due_on", "status", "days_overdue"),
    [
        # NICE QS89: 16:00 after an admission at 10:00 is in time and 16:01 is not; here 06:00 after midnight.
        ("six_hours", day(1, 9), "due", 0), ("six_hours_and_a_minute", day(1, 9), "never", 0),
        ("nursing_six_hours", day(1, 9), "never", 0),
        # Joint Commission NPSG.14.01.01: weekly.
        ("weekly_seventh", day(1, 9), "due", 0), ("weekly_eighth", day(1, 8), "overdue", 1),
        # CMS RAI manual, chapter 2.
        ("quarterly", day(4, 3), "not_due", 0),
        # Braden and Maklebust 2005, on a secondary page.
        ("ward", day(1, 9), "due", 0),
    ],
)  # fmt: skip
def test_first_and_routine_scores(clock, name, due_on, status, days_overdue):
    found = clock(name)
    assert found[1:4] == (due_on, status, days_overdue)
    assert found[0] == ("first" if "hours" in name else "routine")


@pytest.mark.parametrize(
    ("name", "due_on", "interval_id"),
    [
        # NICE CG179 names the changes; the seven days at home are our decision.
        ("fell", day(1, 12), "change_community_fall"), ("operated", day(1, 11), "change_community_surgery"),
        ("ill", day(1, 10), "change_community_acute_illness"),
        # The decision of record: an incomplete score restarts no clock.
        ("fell_and_half_scored", day(1, 12), "change_community_fall"),
        # CMS RAI manual, chapter 2: fourteen days from 8 January. interRAI PURS: 4 of 80 kg is 5 %.
        ("lost_5", day(1, 22), "change_residential_care_weight"),
        ("gained_5", day(1, 22), "change_residential_care_weight"),
        ("new_injury", day(1, 10), "change_residential_care_wound"),
    ],
)  # fmt: skip
def test_a_change_asks_for_a_score(clock, name, due_on, interval_id):
    assert clock(name) == ("change", due_on, "not_due", 0, interval_id)


@pytest.mark.parametrize(
    ("name", "due_on"),
    [
        # A score on the day of the fall has seen it: 62 days from it (Bergquist and Frantz 2001).
        ("fell_and_scored", day(3, 8)),
        # 3.8 of 80 kg is under 5 %; 176.4 pounds are 80 kg. Both keep their quarterly day.
        ("lost_less", day(4, 4)), ("pounds", day(4, 4)),
    ],
)  # fmt: skip
def test_what_is_no_change_moves_nothing(clock, name, due_on):
    assert clock(name)[:3] == ("routine", due_on, "not_due")


def test_points_for_surgery_ask_for_a_score_within_48_hours(clock):
    # From memory of the Waterlow card, not checked: they count up to 48 hours. Nothing is taken off by itself.
    found = clock("hip", "kind, due_at, due_at_has_time, interval_id, status")
    assert found == ("change", dt.datetime(2026, 1, 10, 10), True, "change_residential_care_points", "not_due")
    # Ten points without surgery keep the monthly day of a care home.
    assert clock("no_hip")[:2] == ("routine", day(2, 7))


# Bergquist and Frantz 2001, home health: weekly four times, then every two weeks up to day 62, then at the
# recertification; 1 January is day 0. Each person was scored on one of these days and is due on the next.
HOME_HEALTH = [
    day(1, 1), day(1, 8), day(1, 15), day(1, 22), day(1, 29), day(2, 12), day(2, 26), day(3, 4),
]  # fmt: skip
# CMS RAI manual, chapter 2: the admission assessment by day 14 with the day of admission as day 1, an annual one not
# later than 366 days after the last comprehensive one. A service that scores risk with them says so in its policy.
RESIDENT = (("within_hours = 6", "within_days = 13"), ("within_days = 92", "within_days = 366"))


def followed_here() -> str:
    """The shipped intervals, those of residential care as the minimum data set has them."""
    blocks = (policy_dir() / "intervals.toml").read_text("utf-8").split("\n\n")
    for shipped, ours in RESIDENT:
        blocks = [block.replace(shipped, ours) if "residential_care" in block else block for block in blocks]
    return "\n\n".join(blocks)


@pytest.fixture(scope="module")
def due_by_schedule(take_in):
    """A function: when a person of the second export is due."""
    service = Service()
    for place, when in enumerate(HOME_HEALTH[:-1]):
        service.person(f"home_{place}", "community", "2026-01-01", (when.isoformat(), AT_RISK))
    service.person("home_low", "community", "2026-01-01", ("2026-01-08", BEST))
    # Braden's authors (secondary): in long-term care weekly four times, then monthly.
    for place, when in enumerate(("2026-02-27", "2026-02-28")):
        service.person(f"home_care_{place}", "residential_care", "2026-01-31", (when, AT_RISK))
    service.person("admitted", "residential_care", "2026-01-01")
    service.person("comprehensive", "residential_care", "2025-12-01", ("2026-01-01", BEST))
    # The adapted Glamorgan form: daily. 15 for lying still and nothing else is high.
    glamorgan = Form("glamorgan", GLAMORGAN)
    glamorgan.score("A-child", 15, *(0,) * 7, client_id="child", assessed_at="2026-03-04T10:00:00")
    service.person("child", "acute", "2026-03-01")
    service.people["child"] = {"age_years": 6}
    answers = take_in(
        service.form, glamorgan, people=service.people, feeds=service.feeds,
        policy={"intervals.toml": followed_here()}, at="2026-03-05T06:00:00Z",
    )
    found = answers.ask("SELECT client_id, due_on FROM audit.reassessments")
    return dict(found).get


@pytest.mark.parametrize(("place", "due_on"), list(enumerate(HOME_HEALTH[1:])))
def test_home_health_weekly_then_fortnightly_then_at_day_62(due_by_schedule, place, due_on):
    assert due_by_schedule(f"home_{place}") == due_on


@pytest.mark.parametrize(
    ("name", "due_on"),
    [
        # Who is not at risk keeps the quarterly day, by our decision: 92 days from 8 January.
        ("home_low", day(4, 10)),
        # Scored on day 27 of the stay: a week. On day 28: thirty days.
        ("home_care_0", day(3, 6)), ("home_care_1", day(3, 30)),
        # CMS RAI manual, chapter 2: by day 14, and 366 days from 1 January.
        ("admitted", day(1, 14)), ("comprehensive", dt.date(2027, 1, 2)),
        # National Association of Tissue Viability Nurse Specialists, adapted Glamorgan form: at least daily.
        ("child", day(3, 5)),
    ],
)  # fmt: skip
def test_other_schedules(due_by_schedule, name, due_on):
    assert due_by_schedule(name) == due_on
