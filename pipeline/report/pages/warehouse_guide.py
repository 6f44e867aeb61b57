"""The warehouse guide: for the analyst, what the file says of itself, and eleven questions to begin with."""

import re
from collections.abc import Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

from pipeline import resources
from pipeline.report.pages import Page
from pipeline.report.queries import Rows

_FIELD = re.compile(r"-- (question|beware|figure):\s+(.*)")


def example_queries() -> tuple[Path, ...]:
    """The files of the questions, in the order of the page."""
    return tuple(sorted((resources.reports_dir() / "warehouse_guide" / "queries").glob("*.sql")))


def read_example(query: Path) -> SimpleNamespace:
    """One question: `question`, `beware` and `figure` (where a page shows it, else "") from its head, and `sql`."""
    lines = query.read_text(encoding="utf-8").splitlines()
    told = {field[1]: field[2] for field in map(_FIELD.match, lines) if field}
    sql = "\n".join(line for line in lines if not line.startswith("--"))
    return SimpleNamespace(question=told["question"], beware=told["beware"], figure=told.get("figure", ""), sql=sql)


def _shape(rows: Mapping[str, Rows]) -> dict[str, Any]:
    return {
        "questions": [read_example(query) for query in example_queries()],
        "relations_of": _by(rows["relations"], "schema_name"),
        "columns_of": _by(rows["columns"], "relation"),
    }


def _by(rows: Rows, name: str) -> dict[str, list[SimpleNamespace]]:
    found: dict[str, list[SimpleNamespace]] = {}
    for row in rows:
        found.setdefault(getattr(row, name), []).append(row)
    return found


PAGE = Page(
    name="warehouse_guide",
    position=8,
    title="Warehouse guide",
    answers="For analysts: every relation and column with its meaning, how time works, eleven queries to begin with.",
    shape=_shape,
)
