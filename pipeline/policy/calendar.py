"""Working days, numbered, so that SQL can add ten of them with a join."""

import datetime
from collections.abc import Set
from typing import Any

FIRST_DAY = datetime.date(2000, 1, 1)
# Far enough beyond as_of for any due day that a severity or an interval can give.
DAYS_AHEAD = 400
SATURDAY = 5


def days(*, until: datetime.date, holidays: Set[datetime.date]) -> list[dict[str, Any]]:
    """One row per day from 2000-01-01 to `until` + 400: {day, working_day_number}.

    The number counts the working days up to and including the day, so a weekend or a holiday has the number of the
    working day before it, and "k working days after D" is the first day whose number is that of D plus k.
    """
    rows, number = [], 0
    for offset in range((until - FIRST_DAY).days + DAYS_AHEAD + 1):
        day = FIRST_DAY + datetime.timedelta(days=offset)
        number += day.weekday() < SATURDAY and day not in holidays
        rows.append({"day": day, "working_day_number": number})
    return rows
