"""What everything means, said in the warehouse itself: a comment on each relation and on each of its columns."""

from collections.abc import Mapping

import duckdb

from pipeline.review.graph import Relation
from pipeline.review.headers import HeaderColumn
from pipeline.review.meanings import loaded_comments


def describe(con: duckdb.DuckDBPyConnection, relation: Relation) -> None:
    """Comment on a relation from its header."""
    header = relation.header
    kind = "VIEW" if header.stored == "view" else "TABLE"
    about = f"{header.question} Grain: {header.grain}." + (f" Beware: {header.beware}." if header.beware else "")
    texts = [f"COMMENT ON {kind} {relation.name} IS {_literal(about)}"]
    for column in header.columns:
        texts.append(f'COMMENT ON COLUMN {relation.name}."{column.name}" IS {_literal(_meaning(column))}')
    _run(con, texts)


def describe_loaded(con: duckdb.DuckDBPyConnection, relations: Mapping[str, Relation]) -> None:
    """Comment on what Python loaded: every relation of the schemas policy and review that no SELECT made."""
    listed = con.execute("""SELECT schema_name || '.' || table_name, list(column_name ORDER BY column_index)
        FROM duckdb_columns() WHERE database_name = current_database() AND schema_name IN ('policy', 'review')
        GROUP BY ALL""").fetchall()
    kept = {relation: tuple(columns) for relation, columns in listed if relation not in relations}
    texts = [
        f'COMMENT ON COLUMN {relation}."{column}" IS {_literal(meaning)}'
        if column
        else f"COMMENT ON TABLE {relation} IS {_literal(meaning)}"
        for relation, column, meaning in loaded_comments(kept, relations)
    ]
    _run(con, texts)


def _run(con: duckdb.DuckDBPyConnection, texts: list[str]) -> None:
    con.execute(f"BEGIN; {'; '.join(texts)}; COMMIT")


def _meaning(column: HeaderColumn) -> str:
    """What the header says of a column, and the codes that may stand in it."""
    if not column.codes:
        return column.meaning
    many = "any of" if column.type == "codes" else "one of"
    return f"{column.meaning}; {many} {', '.join(column.codes)}"


def _literal(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
