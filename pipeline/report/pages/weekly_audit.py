"""The weekly audit: for the service manager, one page, the verdict first."""

from collections.abc import Mapping
from typing import Any

from pipeline.report.charts import Bar, Part, stacked_bars
from pipeline.report.filters import counted
from pipeline.report.pages import Page
from pipeline.report.queries import Rows

# The order of the parts of a bar, and of the key and the table: what is well, what is wrong, what cannot be said.
VERDICTS = ("matched", "under_provided", "contraindicated", "over_provided", "unknown")
POSITIONS = {"lying": "Bed", "sitting": "Seat"}


def _shape(rows: Mapping[str, Rows]) -> dict[str, Any]:
    bars = tuple(
        Bar(
            f"{POSITIONS[row.position]}, {row.need_words}: {counted(row.people, 'person', 'people')}",
            tuple(Part(kind, getattr(row, kind)) for kind in VERDICTS),
        )
        for row in rows["provision"]
    )
    words = (
        "Each bar is the people with one level of need in one position, and its parts are how their surface compares."
        " The table below has every number."
    )
    picture = stacked_bars(bars, name="provision", title="Need against what is provided", description=words)
    return {"provision_kinds": VERDICTS, "provision_words": words, "provision_picture": picture}


PAGE = Page(
    name="weekly_audit",
    position=1,
    title="Weekly audit",
    answers="Who needs someone first, what changed, what falls due, and how sure we are.",
    shape=_shape,
)
