"""The relations that Python loads before the first SELECT: their columns and types, declared once.

`store.<feed>` has the columns that intake writes to Parquet, `policy.*` those of the policy, and the rest stands below.
A relation that has no row still exists with its types, so a week without a feed runs the same SQL as any other week.
"""

from collections.abc import Mapping, Sequence

import duckdb
import pyarrow as pa

from pipeline.feeds.columns import FEEDS, Feed, arrow_schema
from pipeline.policy.tables import COLUMNS as POLICY
from pipeline.review.graph import Relation
from pipeline.warehouse import sql_type

SCHEMAS = ("policy", "review", "records", "risk", "wounds", "state", "fit", "audit", "trends", "quality")

STORE = {
    "files": """file_key VARCHAR, file_id VARCHAR, file_name VARCHAR, source VARCHAR, feed VARCHAR,
        received_at TIMESTAMP, received_local TIMESTAMP, rows_read INTEGER, rows_accepted INTEGER, rows_held INTEGER,
        delivers VARCHAR, superseded_at TIMESTAMP, withdrawn_at TIMESTAMP, first_on DATE, last_on DATE""",
    "arrivals": "feed VARCHAR, source VARCHAR, file_key VARCHAR, received_at TIMESTAMP, received_local TIMESTAMP",
    "refused": """file_id VARCHAR, file_name VARCHAR, source VARCHAR, feed VARCHAR, code VARCHAR,
        received_at TIMESTAMP""",
    "held": """file_key VARCHAR, feed VARCHAR, source VARCHAR, source_row BIGINT, record_id VARCHAR,
        client_id VARCHAR, codes VARCHAR, columns VARCHAR, updated_at TIMESTAMP, received_at TIMESTAMP""",
    "codes_noted": "file_key VARCHAR, note VARCHAR, column_name VARCHAR, code VARCHAR, rows_noted INTEGER",
    "feeds": "feed VARCHAR, expected_days INTEGER, id_column VARCHAR",
}

# Every accepted row in the columns that all feeds have, so that what happens to a row is said once for all of them.
SHARED_COLUMNS = ("file_key", "source_row", "client_id", "updated_at", "record_status", "content_key")

REVIEW = {
    "parameters": """as_of DATE, known_at TIMESTAMP, looked_at TIMESTAMP, previous_as_of DATE,
        previous_known_at TIMESTAMP, is_first_audit BOOLEAN, time_zone VARCHAR, held_for_days INTEGER,
        audit_every_days INTEGER, policy_fingerprint VARCHAR, store_fingerprint VARCHAR, software_version VARCHAR""",
    "steps": "step INTEGER, relation VARCHAR, row_count INTEGER",
}

# What the previous audit leaves behind for this one: a relation here, and the relation whose columns it has.
PREVIOUS = {"review.previous_raised": "audit.raised", "review.previous_tally": "audit.tally"}


def create_store_inputs(con: duckdb.DuckDBPyConnection) -> None:
    """Make the schema `store` with every relation in it, empty and typed."""
    con.execute("CREATE SCHEMA store")
    for name, columns in STORE.items():
        con.execute(f"CREATE TABLE store.{name} ({columns})")
    for feed in FEEDS.values():
        create_from_schema(con, f"store.{feed.name}", arrow_schema(feed))
    con.execute(f"CREATE VIEW store.accepted AS {_accepted()}")
    con.execute(f"CREATE VIEW store.recurring AS {_recurring()}")


def keep_recurring(con: duckdb.DuckDBPyConnection, *, of: str | None = None) -> None:
    """Work store.recurring out once and for all, after the feeds are there.

    `of` names a database whose store holds every file of this one: what came once there came once here.
    """
    seen = f"SELECT * FROM {of}.store.recurring WHERE file_key IN (SELECT file_key FROM store.files)"
    con.execute(f"CREATE TEMPORARY TABLE recurring_rows AS {seen if of else _recurring()}")
    con.execute("DROP VIEW store.recurring")
    con.execute("CREATE TABLE store.recurring AS FROM recurring_rows")
    con.execute("DROP TABLE recurring_rows")


def _recurring() -> str:
    # The rows of every record that came in more than one row, of whatever source and reading. Finding them is one pass
    # over all that was ever received, and what orders versions then looks at these few alone.
    return " UNION ALL ".join(
        f"{_shared(feed)} WHERE {feed.id_column} IN "
        f"(SELECT {feed.id_column} FROM store.{feed.name} GROUP BY {feed.id_column} HAVING COUNT(*) > 1)"
        for feed in FEEDS.values()
    )


def _accepted() -> str:
    return " UNION ALL ".join(_shared(feed) for feed in FEEDS.values())


def _shared(feed: Feed) -> str:
    columns = ", ".join(SHARED_COLUMNS)
    return f"SELECT '{feed.name}' AS feed, {feed.id_column} AS record_id, {columns} FROM store.{feed.name}"


def create_kept_inputs(con: duckdb.DuckDBPyConnection, relations: Mapping[str, Relation]) -> None:
    """Make the other schemas, with `policy.*` and `review.*` empty and typed: what the published file keeps.

    `relations` give the columns of what a previous audit leaves behind.
    """
    for schema in SCHEMAS:
        con.execute(f"CREATE SCHEMA {schema}")
    for name, columns in REVIEW.items():
        con.execute(f"CREATE TABLE review.{name} ({columns})")
    for name, columns in POLICY.items():
        create_from_schema(con, f"policy.{name}", pa.schema(list(columns.items())))
    for name, model in PREVIOUS.items():
        if model in relations:
            columns = ", ".join(f'"{column.name}" {column.sql_type}' for column in relations[model].header.columns)
            con.execute(f"CREATE TABLE {name} ({columns})")


def create_from_schema(con: duckdb.DuckDBPyConnection, relation: str, schema: pa.Schema) -> None:
    """Make a relation empty, with the columns that its rows have in Arrow or Parquet."""
    # Written out rather than left to an import of an empty table, which takes longer than everything else here.
    columns = ", ".join(f'"{field.name}" {sql_type(field.type)}' for field in schema)
    con.execute(f"CREATE TABLE {relation} ({columns})")


def loaded_names() -> tuple[str, ...]:
    """Every relation that Python loads, sorted."""
    names = [f"store.{name}" for name in (*STORE, *FEEDS, "accepted", "recurring")]
    names += [f"review.{name}" for name in REVIEW] + [f"policy.{name}" for name in POLICY] + list(PREVIOUS)
    return tuple(sorted(names))


def fill_policy(con: duckdb.DuckDBPyConnection, tables: Mapping[str, pa.Table]) -> None:
    """Replace the rows of `policy.*` by the policy in force, by table name without the schema."""
    for name in POLICY:
        con.execute(f"DELETE FROM policy.{name}")
    for name, rows in sorted(tables.items()):
        con.register("policy_rows", rows)
        con.execute(f"INSERT INTO policy.{name} BY NAME SELECT * FROM policy_rows")
        con.unregister("policy_rows")


def fill_parameters(con: duckdb.DuckDBPyConnection, row: Mapping[str, object]) -> None:
    """Replace the one row of review.parameters."""
    con.execute("DELETE FROM review.parameters")
    marks = ", ".join("?" for _ in row)
    con.execute(f"INSERT INTO review.parameters ({', '.join(row)}) VALUES ({marks})", list(row.values()))


def insert_rows(con: duckdb.DuckDBPyConnection, relation: str, rows: Sequence[tuple]) -> None:
    """Add a few hundred rows at once: one by one, each would be a transaction of its own."""
    marks = ", ".join("(" + ", ".join("?" for _ in row) + ")" for row in rows)
    if rows:
        con.execute(f"INSERT INTO {relation} VALUES {marks}", [cell for row in rows for cell in row])
