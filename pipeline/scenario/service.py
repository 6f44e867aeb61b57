"""The invented service: its teams, its clinicians, its calendar. Nothing here is a real place or person."""

from dataclasses import dataclass
from datetime import date, timedelta

# The scenario has its own calendar, so that the same arguments give the same bytes in any year.
FIRST_MONDAY = date(2024, 9, 2)
DAYS_IN_MONTHS = 365.25 / 12

# The loans export of this service fell silent eleven days before the last Monday: a feed that comes late is a
# normal week in a real service, and pages must say as of which day they speak.
LOANS_SILENT_DAYS = 11


@dataclass(frozen=True)
class Team:
    """One team: its share of the people, how long people stay (days, mean) and how frail they are on arrival (0-1)."""

    name: str
    care_setting: str
    site: str
    share: float
    clinicians: tuple[str, ...]
    stay_days: float
    frailty: float
    owner: str

    @property
    def days_only(self) -> bool:
        """The care homes' system keeps days without times, as many do."""
        return self.care_setting == "residential_care"


TEAMS = (
    Team("Saltbeck Community", "community", "SB", 0.387, ("K10", "K11", "K12", "K13"), 420, 0.31, owner="loan_service"),
    Team("Tollmere Care Homes", "residential_care", "TM", 0.298, ("K01", "K02", "K03"), 520, 0.36, owner="care_home"),
    Team("Quillmoor Community", "community", "QM", 0.244, ("K05", "K06", "K07"), 420, 0.30, owner="loan_service"),
    Team("Harrowfen Rehabilitation", "rehabilitation", "HR", 0.071, ("K20", "K21"), 46, 0.36, owner="hospital"),
)


def seats(people: int) -> list[int]:
    """How many of `people` each team looks after at a time: shares rounded so that they add up."""
    exact = [team.share * people for team in TEAMS]
    counts = [int(share) for share in exact]
    by_remainder = sorted(range(len(TEAMS)), key=lambda i: (counts[i] - exact[i], i))
    for i in by_remainder[: people - sum(counts)]:
        counts[i] += 1
    return counts


@dataclass(frozen=True)
class Calendar:
    """The Mondays of a scenario, and which of them have a drop of their own."""

    months: int
    weekly: int

    @property
    def first(self) -> date:
        return FIRST_MONDAY

    @property
    def last(self) -> date:
        """The last Monday at or before the end of the months, at least one week in."""
        weeks = max(1, int(self.months * DAYS_IN_MONTHS + 1) // 7)
        return FIRST_MONDAY + timedelta(days=7 * weeks)

    def mondays(self) -> list[date]:
        """Drop days of an export that always comes, oldest first. The first one brings everything before it."""
        weeks = (self.last - self.first).days // 7
        return [self.last - timedelta(days=7 * back) for back in reversed(range(min(self.weekly, weeks)))]

    def drops(self, feed: str) -> list[date]:
        """Drop days of one feed. The loans export misses its last three Mondays and comes once in between."""
        days = self.mondays()
        if feed != "loans" or len(days) < 5:
            return days
        return [*days[:-3], self.last - timedelta(days=LOANS_SILENT_DAYS)]
