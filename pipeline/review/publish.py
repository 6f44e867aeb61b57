"""The last steps of a review: say in the file what everything means, sum its content, and swap it in."""

from collections.abc import Mapping
from pathlib import Path

import duckdb

from pipeline import files, warehouse
from pipeline.review.graph import Relation
from pipeline.review.headers import HeaderColumn
from pipeline.review.meanings import loaded_comments
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


def seal(con: duckdb.DuckDBPyConnection, relations: Mapping[str, Relation], sums: ContentSums) -> str:
    """Write comments and content sums into the file that is in use; the fingerprint over all sums (64 hex)."""
    con.execute("BEGIN")
    for relation in relations.values():
        con.execute("; ".join(_comments(relation)))
    con.execute("; ".join(_loaded(con, relations)))
    con.execute("COMMIT")
    rows = sums.all()
    con.executemany("INSERT INTO review.digests VALUES (?, ?, ?)", rows)
    return warehouse.fingerprint(rows)


def _comments(relation: Relation) -> list[str]:
    header = relation.header
    kind = "VIEW" if header.stored == "view" else "TABLE"
    about = f"{header.question} Grain: {header.grain}." + (f" Beware: {header.beware}." if header.beware else "")
    texts = [f"COMMENT ON {kind} {relation.name} IS {_literal(about)}"]
    for column in header.columns:
        texts.append(f'COMMENT ON COLUMN {relation.name}."{column.name}" IS {_literal(_meaning(column))}')
    return texts


def _meaning(column: HeaderColumn) -> str:
    """What the header says of a column, and the codes that may stand in it."""
    if not column.codes:
        return column.meaning
    many = "any of" if column.type == "codes" else "one of"
    return f"{column.meaning}; {many} {', '.join(column.codes)}"


def _loaded(con: duckdb.DuckDBPyConnection, relations: Mapping[str, Relation]) -> list[str]:
    listed = con.execute("""SELECT schema_name || '.' || table_name, list(column_name ORDER BY column_index)
        FROM duckdb_columns() WHERE database_name = current_database() AND schema_name IN ('policy', 'review')
        GROUP BY ALL""").fetchall()
    kept = {relation: tuple(columns) for relation, columns in listed if relation not in relations}
    return [
        f'COMMENT ON COLUMN {relation}."{column}" IS {_literal(meaning)}'
        if column
        else f"COMMENT ON TABLE {relation} IS {_literal(meaning)}"
        for relation, column, meaning in loaded_comments(kept, relations)
    ]


def _literal(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def swap(unfinished: Path, published: Path) -> None:
    """Give the finished file its public name in one step; readers keep the old one until they open again."""
    leftover = _log_of(unfinished)
    if leftover.exists():
        raise RuntimeError(f"{unfinished.name} was closed and still has a log beside it; it is not published")
    files.remove(_log_of(published))
    files.replace(unfinished, published)
