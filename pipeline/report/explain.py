"""Why one person stands where they stand: every finding back to its rule, evidence and records.

Read from the published warehouse, as text for a terminal or as JSON; only which row of which file a record came from is
looked up in the store. Flags, no prescription: the answer says so.
"""

from __future__ import annotations

import json
import textwrap
from dataclasses import dataclass
from datetime import UTC
from types import SimpleNamespace
from typing import Any

import duckdb

from pipeline import instants, resources, warehouse
from pipeline.errors import NobodyOfThatId
from pipeline.report.filters import labels_of
from pipeline.report.origins import name_origins
from pipeline.report.queries import Rows, read_all, read_rows
from pipeline.report.templates import text_environment
from pipeline.settings import Workspace

FORMATS = ("text", "json")
WIDTH = 100
CAUTION = (
    "Not an alarm system. Flags for a qualified clinician to consider, and no prescription: "
    "local policy and licensed practice decide. Not known is not safe."
)


def explain(workspace: Workspace, client_id: str, *, form: str) -> str:
    """The answer for one person in one of FORMATS, ending with a line end.

    A pseudonym that was merged into another is followed to it. Raises NoWarehouse without a warehouse, NobodyOfThatId
    when no accepted row introduced such a person, and ValueError for another format.
    """
    if form not in FORMATS:
        raise ValueError(f"unknown format {form}")
    with warehouse.reading(workspace.warehouse) as connection:
        answer = Explainer(connection).about(client_id)
        name_origins(connection, workspace.store, rows=answer.rows["rows"])
    return answer.as_json() if form == "json" else answer.as_text()


class Explainer:
    """Asks one open warehouse about as many people as somebody likes; what they share is read once."""

    def __init__(self, connection: duckdb.DuckDBPyConnection) -> None:
        self._connection = connection
        self.audit = read_rows(connection, resources.reports_dir() / "parts" / "parameters.sql")[0]
        known_at = self.audit.known_at.replace(tzinfo=UTC)
        self.known_at = instants.iso(known_at)
        self.audit.known_locally = instants.local(known_at, self.audit.time_zone)
        words = text_environment(resources.reports_dir(), labels=labels_of(connection))
        self.page = words.get_template("explain/answer.txt")

    def about(self, client_id: str) -> Answer:
        """All that is said of one person; raises NobodyOfThatId."""
        person = _person(self._connection, client_id)
        asked = {"client_id": person.client_id}
        return Answer(self, person, read_all(self._connection, resources.reports_dir() / "explain", asked=asked))


@dataclass(frozen=True)
class Answer:
    """What the warehouse holds about one person: `rows` by the name of their query in reports/explain/."""

    asked: Explainer
    person: SimpleNamespace
    rows: dict[str, Rows]

    def as_json(self) -> str:
        facts = {"as_of": self.asked.audit.as_of, "known_at": self.asked.known_at, "caution": CAUTION}
        return _json({**facts, "person": vars(self.person), **_plain(self.rows, but="person")})

    def as_text(self) -> str:
        return _wrapped(self.asked.page.render(self.rows, who=self.person, audit=self.asked.audit, caution=CAUTION))


def _person(connection: duckdb.DuckDBPyConnection, client_id: str) -> SimpleNamespace:
    found = read_rows(connection, resources.reports_dir() / "explain" / "person.sql", asked={"client_id": client_id})
    if not found:
        raise NobodyOfThatId(
            what="No accepted row of the exports introduces a person with this id.",
            done="Nothing was changed.",
            todo="Compare the spelling with a page, capitals included; `caseround held` lists rows that wait.",
        )
    return found[0]


def _plain(rows: dict[str, Rows], *, but: str) -> dict[str, list[dict[str, Any]]]:
    return {name: [vars(row) for row in found] for name, found in rows.items() if name != but}


def _json(content: dict[str, Any]) -> str:
    """Days and decimals as text, so that no digit is lost."""
    return json.dumps(content, indent=2, ensure_ascii=False, default=str) + "\n"


def _wrapped(text: str) -> str:
    """Long lines broken at spaces, each part as far in as its line; ids and file names are never torn."""
    lines = []
    for line in text.rstrip().splitlines():
        margin = " " * (len(line) - len(line.lstrip()))
        lines += textwrap.wrap(
            line.strip(),
            WIDTH,
            initial_indent=margin,
            subsequent_indent=margin + "  ",
            break_long_words=False,
            break_on_hyphens=False,
        ) or [""]
    return "\n".join(lines) + "\n"
