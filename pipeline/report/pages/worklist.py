"""The worklist: for a therapist with ten minutes, by team and clinician, one row a person, also as CSV."""

from collections import defaultdict
from collections.abc import Mapping
from types import SimpleNamespace
from typing import Any

from pipeline.report.filters import NOT_RECORDED
from pipeline.report.pages import Page
from pipeline.report.queries import Rows
from pipeline.tables import Table

HEADINGS = (
    *("as_of", "rank", "client_id", "team", "clinician", "level", "reason", "status", "since_on", "due_on"),
    *("days_overdue", "urgent_count", "soon_count", "routine_count", "other_reasons", "consider", "ask"),
    *("waits_for", "waiting_since_on", "has_held_row", "note"),
)
NOTE = "Flags for a qualified clinician to consider; local policy and licensed practice decide; not an alarm system"


def _shape(rows: Mapping[str, Rows]) -> dict[str, Any]:
    """Teams, in each the clinicians, in each the people of the list in its own order; nobody is left out."""
    people = _people(rows)
    teams: list[SimpleNamespace] = []
    for place, group in enumerate(rows["groups"], start=1):
        if not teams or teams[-1].team != group.team:
            teams.append(SimpleNamespace(team=group.team, groups=[]))
        theirs = [who for who in people if (who.person.team, who.person.clinician) == (group.team, group.clinician)]
        teams[-1].groups.append(SimpleNamespace(counts=group, people=theirs, anchor=f"list-{place}"))
    return {"teams": teams}


def _people(rows: Mapping[str, Rows]) -> list[SimpleNamespace]:
    """Each person with what else they are to be seen about, what to ask them and what they lie and sit on.

    What only concerns the equipment stands on its own list, unless the list of people leads with it.
    """
    findings, questions, surfaces, waits = (
        _by_client(rows[name]) for name in ("findings", "questions", "surfaces", "waiting")
    )
    found = []
    for person in rows["people"]:
        others = [finding for finding in findings[person.client_id] if finding.finding_id != person.finding_id]
        found.append(
            SimpleNamespace(
                person=person,
                others=[finding for finding in others if not finding.is_equipment],
                equipment=[finding for finding in others if finding.is_equipment],
                questions=questions[person.client_id],
                surfaces=surfaces[person.client_id],
                waits=waits[person.client_id],
            )
        )
    return found


def _by_client(rows: Rows) -> dict[str, list[SimpleNamespace]]:
    grouped: dict[str, list[SimpleNamespace]] = defaultdict(list)
    for row in rows:
        grouped[row.client_id].append(row)
    return grouped


def _table(rows: Mapping[str, Rows], audit: SimpleNamespace) -> Table:
    """One row for each person of the page, in the order of rank; what a person has several of is joined by '; '."""
    return Table(HEADINGS, tuple(_line(who, audit) for who in _people(rows)))


def _line(who: SimpleNamespace, audit: SimpleNamespace) -> tuple[Any, ...]:
    person = who.person
    return (
        *(audit.as_of, person.rank, person.client_id, person.team, person.clinician, person.level, person.reason),
        *(person.status, person.since_on if person.since_is_known else None, person.due_on, person.days_overdue),
        *(person.urgent_count, person.soon_count, person.routine_count),
        "; ".join(finding.title for finding in (*who.others, *who.equipment)),
        person.consider,
        "; ".join(question.label for question in who.questions),
        "; ".join(wait.waits_for for wait in who.waits),
        # In step with what is waited for, so a day that nobody recorded has its words.
        "; ".join(str(wait.waiting_since_on or NOT_RECORDED) for wait in who.waits),
        "true" if person.has_held_row else "false",
        NOTE,
    )


PAGE = Page(
    name="worklist",
    position=2,
    title="Worklist",
    answers="Whom to see first, by team and clinician, what to ask, which equipment to see to, and who waits.",
    shape=_shape,
    table=_table,
)
