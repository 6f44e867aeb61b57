"""Injury trends: for the quality lead, each measure as a sentence, a chart with its limits, and a table."""

from collections.abc import Mapping
from datetime import date
from types import SimpleNamespace
from typing import Any

from markupsafe import Markup

from pipeline.report.filters import counted
from pipeline.report.filters import month as month_words
from pipeline.report.line_chart import Month, line_chart
from pipeline.report.pages import Page
from pipeline.report.queries import Rows

# What the heading of a measure says after its name.
CONCLUSIONS = {
    "worse": "worse than usual, by more than chance",
    "better": "better than usual, by more than chance",
    "change": "unlike usual, by more than chance",
    "steady": "nothing beyond chance",
    "too_few": "too few for a chart to judge",
    "no_baseline": "too few months to say what is usual",
    "only_now": "this audit only",
    "no_data": "no data",
}
GOOD = {"down": "Lower is better.", "up": "Higher is better.", "neither": "Neither way is better by itself."}
MEANS = {"worse": "for the worse", "better": "for the better", "change": "a change"}
# A chart of one or two months is two dots, and its table says as much.
FEWEST_MONTHS = 3


def _shape(rows: Mapping[str, Rows]) -> dict[str, Any]:
    months: dict[str, list[SimpleNamespace]] = {row.measure: [] for row in rows["measures"]}
    for row in rows["months"]:
        months[row.measure].append(row)
    told = rows["summary"][0]
    parts = ((told.worse, "worse than usual"), (told.better, "better than usual"), (told.changed, "unlike usual"))
    pictures = {row.measure: _picture(row, months[row.measure]) for row in rows["measures"]}
    return {
        "pictures": {name: picture for name, picture in pictures.items() if picture},
        "months_of": months,
        "conclusions": CONCLUSIONS,
        "moved": _joined([f"{counted(amount, 'is', 'are')} {words}" for amount, words in parts if amount]),
        "good_words": GOOD,
        "means_words": MEANS,
    }


def _short(day: date) -> str:
    # Three names of months must fit side by side on a phone.
    return f"{month_words(day)[:3]} {day.year}"


def _joined(parts: list[str]) -> str:
    return " and ".join((", ".join(parts[:-1]), parts[-1])) if len(parts) > 1 else "".join(parts)


def _picture(measure: SimpleNamespace, months: list[SimpleNamespace]) -> Markup | None:
    if len([row for row in months if row.rate is not None]) < FEWEST_MONTHS:
        return None
    # Limits that nothing is judged by would be read as if something were.
    is_judged = measure.conclusion != "too_few"
    return line_chart(
        [
            Month(
                words=_short(row.month), rate=row.rate, centre=row.centre,
                lower_limit=row.lower_limit if is_judged else None,
                upper_limit=row.upper_limit if is_judged else None,
                is_provisional=row.provisional, mark=row.signal_means,
            )
            for row in months
        ],
        name=f"chart-{measure.measure.replace('_', '-')}",
        title=f"{measure.label} by month",
        description=f"A line by month, what is usual and its limits. {GOOD[measure.good]} The table has every number.",
        unit=" %" if measure.kind == "proportion" else "",
    )  # fmt: skip


PAGE = Page(
    name="injury_trends",
    position=3,
    title="Injury trends",
    answers="What is found, what heals and what is late, month by month, and when that is more than chance.",
    shape=_shape,
)
