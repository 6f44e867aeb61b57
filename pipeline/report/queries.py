"""Reads what a page shows: each query is a file beside the page's template, so an analyst can run it by hand."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import duckdb

from pipeline.warehouse import unfit

Rows = tuple[SimpleNamespace, ...]


def read_rows(connection: duckdb.DuckDBPyConnection, query: Path, *, asked: dict[str, Any] | None = None) -> Rows:
    """The rows of one query in its own order, each column as an attribute; `asked`: what it names with a $.

    An object rather than a dict: a template that names a column which is not there must fail, and a dict would answer
    `row.items` with its own method. Raises WarehouseUnfit when the warehouse lacks what the query names.
    """
    try:
        answer = connection.execute(query.read_text(encoding="utf-8"), asked or {})
    except (duckdb.CatalogException, duckdb.BinderException):
        name = f"{query.parent.name}/{query.name}"
        raise unfit(f"The warehouse lacks what {name} reads: another version made it.") from None
    names = [column[0] for column in answer.description]
    return tuple(SimpleNamespace(**dict(zip(names, row, strict=True))) for row in answer.fetchall())


def read_all(
    connection: duckdb.DuckDBPyConnection, folder: Path, *, asked: dict[str, Any] | None = None
) -> dict[str, Rows]:
    """Every query of one page folder, by the name of its file without the ending."""
    return {query.stem: read_rows(connection, query, asked=asked) for query in sorted(folder.glob("*.sql"))}
