"""The last step of a review: the finished file takes the place of the published one."""

from pathlib import Path

from pipeline import files


def quoted_path(path: Path) -> str:
    """A path as the inside of an SQL text literal."""
    return str(path).replace("'", "''")


def clear(unfinished: Path) -> None:
    """Remove what a killed review left at that name, the log beside it first: an orphan log blocks every open."""
    files.remove(_log_of(unfinished))
    files.remove(unfinished)


def _log_of(database: Path) -> Path:
    return database.with_name(f"{database.name}.wal")


def swap(unfinished: Path, published: Path) -> None:
    """Give the finished file its public name in one step; readers keep the old one until they open again."""
    leftover = _log_of(unfinished)
    if leftover.exists():
        raise RuntimeError(f"{unfinished.name} was closed and still has a log beside it; it is not published")
    files.remove(_log_of(published))
    files.replace(unfinished, published)
