"""The last steps of a review: write the sums of its content into the file, and swap it in."""

from pathlib import Path

import duckdb

from pipeline import files, warehouse
from pipeline.review.inputs import insert_rows
from pipeline.review.sums import ContentSums


def quoted_path(path: Path) -> str:
    """A path as the inside of an SQL text literal."""
    return str(path).replace("'", "''")


def clear(unfinished: Path) -> None:
    """Remove what a killed review left at that name, the log beside it first: an orphan log blocks every open."""
    files.remove(_log_of(unfinished))
    files.remove(unfinished)


def _log_of(database: Path) -> Path:
    return database.with_name(f"{database.name}.wal")


def seal(con: duckdb.DuckDBPyConnection, sums: ContentSums) -> str:
    """Write the content sums into the file that is in use; the fingerprint over all of them (64 hex)."""
    rows = sums.all()
    insert_rows(con, "review.digests", rows)
    return warehouse.fingerprint(rows)


def swap(unfinished: Path, published: Path) -> None:
    """Give the finished file its public name in one step; readers keep the old one until they open again."""
    leftover = _log_of(unfinished)
    if leftover.exists():
        raise RuntimeError(f"{unfinished.name} was closed and still has a log beside it; it is not published")
    files.remove(_log_of(published))
    files.replace(unfinished, published)
