"""The relations that Python loads before the first SELECT: their columns and types, declared once.

`store.<feed>` has the columns that intake writes to Parquet; everything else stands in the tables below. A relation
that has no row still exists with these types, so a week without a feed runs the same SQL as any other week.
"""

from collections.abc import Mapping

import duckdb
import pyarrow as pa

from pipeline.feeds.columns import FEEDS, arrow_schema
from pipeline.review.graph import Relation

SCHEMAS = ("store", "policy", "review", "records", "risk", "wounds", "state", "fit", "audit", "trends", "quality")

STORE = {
    "files": """file_key VARCHAR, file_id VARCHAR, file_name VARCHAR, source VARCHAR, feed VARCHAR,
        received_at TIMESTAMP, received_local TIMESTAMP, rows_read INTEGER, rows_accepted INTEGER, rows_held INTEGER,
        delivers VARCHAR, superseded_at TIMESTAMP, withdrawn_at TIMESTAMP, first_on DATE, last_on DATE""",
    "arrivals": "feed VARCHAR, source VARCHAR, file_key VARCHAR, received_at TIMESTAMP, received_local TIMESTAMP",
    "refused": """file_id VARCHAR, file_name VARCHAR, source VARCHAR, feed VARCHAR, code VARCHAR,
        received_at TIMESTAMP""",
    "held": """file_key VARCHAR, feed VARCHAR, source VARCHAR, source_row BIGINT, record_id VARCHAR,
        client_id VARCHAR, codes VARCHAR, columns VARCHAR, updated_at TIMESTAMP, received_at TIMESTAMP""",
    "feeds": "feed VARCHAR, expected_days INTEGER, id_column VARCHAR",
}

REVIEW = {
    "parameters": """as_of DATE, known_at TIMESTAMP, looked_at TIMESTAMP, previous_as_of DATE,
        previous_known_at TIMESTAMP, is_first_audit BOOLEAN, time_zone VARCHAR, held_for_days INTEGER,
        audit_every_days INTEGER, policy_fingerprint VARCHAR, store_fingerprint VARCHAR, software_version VARCHAR""",
    "steps": "step INTEGER, relation VARCHAR, row_count INTEGER",
    "digests": "relation VARCHAR, row_count BIGINT, content_sum HUGEINT",
}

POLICY = {
    "blocks": """block_id VARCHAR, kind VARCHAR, file VARCHAR, basis VARCHAR, source VARCHAR, effective_from DATE,
        signed_off_on DATE, signed_off_role VARCHAR""",
    "scales": """scale VARCHAR, effective_from DATE, effective_to DATE, label VARCHAR, worse VARCHAR,
        min_total DECIMAL(18,4), max_total DECIMAL(18,4), min_age_months INTEGER, max_age_months INTEGER""",
    "scale_items": """scale VARCHAR, effective_from DATE, effective_to DATE, item VARCHAR, label VARCHAR,
        low DECIMAL(18,4), high DECIMAL(18,4), position INTEGER""",
    "scale_bands": """scale VARCHAR, effective_from DATE, effective_to DATE, band VARCHAR, label VARCHAR,
        from_total DECIMAL(18,4), to_total DECIMAL(18,4), risk_rung INTEGER""",
    "surface_classes": """surface_class VARCHAR, position VARCHAR, label VARCHAR, is_active BOOLEAN,
        is_pump_fed BOOLEAN, is_powered BOOLEAN, is_overlay BOOLEAN, risk_level_max INTEGER,
        injury_stage_max INTEGER, relief INTEGER, comfort INTEGER, cost INTEGER""",
    "class_capabilities": """surface_class VARCHAR, capability VARCHAR, amount INTEGER, basis VARCHAR,
        polarity VARCHAR""",
    "locations": """location VARCHAR, label VARCHAR, loads_lying VARCHAR, loads_sitting VARCHAR,
        is_trunk_or_pelvis BOOLEAN, needs_offloading BOOLEAN, is_device_site BOOLEAN, turning_surface VARCHAR""",
    "stages": "stage VARCHAR, label VARCHAR, injury_rung INTEGER, is_full_thickness BOOLEAN, numbered INTEGER",
    "need_levels": "rung INTEGER, need_level VARCHAR, label VARCHAR",
    "score_age_limits": "care_setting VARCHAR, risk_rung INTEGER, max_age_days INTEGER",
    "intervals": """interval_id VARCHAR, kind VARCHAR, care_setting VARCHAR, risk_rung INTEGER,
        within_hours INTEGER, within_days INTEGER""",
    "rules": """rule VARCHAR, about VARCHAR, family VARCHAR, severity VARCHAR, title VARCHAR, consider VARCHAR,
        basis VARCHAR, source VARCHAR, never_softened BOOLEAN, since_column VARCHAR, applies_to VARCHAR,
        position INTEGER""",
    "rule_subsumes": "rule VARCHAR, subsumes VARCHAR",
    "severities": "severity VARCHAR, position INTEGER, due_days INTEGER, day_kind VARCHAR",
    "calendar": "day DATE, working_day_number INTEGER",
    "labels": "kind VARCHAR, code VARCHAR, label VARCHAR",
    "parameters": "name VARCHAR, amount DECIMAL(18,4)",
}

# What the previous audit leaves behind for this one: a relation here, and the relation whose columns it has.
PREVIOUS = {"review.previous_raised": "audit.raised", "review.previous_tally": "audit.tally"}


def create_schemas(con: duckdb.DuckDBPyConnection) -> None:
    """Make every schema that a relation may stand in."""
    for schema in SCHEMAS:
        con.execute(f"CREATE SCHEMA IF NOT EXISTS {schema}")


def create_inputs(con: duckdb.DuckDBPyConnection, relations: Mapping[str, Relation]) -> None:
    """Make every loaded relation, empty and typed. `relations` give the columns of what a previous audit leaves."""
    create_schemas(con)
    for schema, tables in (("store", STORE), ("review", REVIEW), ("policy", POLICY)):
        for name, columns in tables.items():
            con.execute(f"CREATE TABLE {schema}.{name} ({columns})")
    for feed in FEEDS:
        create_feed_table(con, feed)
    for name, model in PREVIOUS.items():
        if model in relations:
            columns = ", ".join(f'"{column.name}" {column.sql_type}' for column in relations[model].header.columns)
            con.execute(f"CREATE TABLE {name} ({columns})")


def create_feed_table(con: duckdb.DuckDBPyConnection, feed: str) -> None:
    """Make `store.<feed>` empty, with the columns of the Parquet files that intake writes."""
    rows = arrow_schema(FEEDS[feed]).empty_table()
    con.register("empty_feed", rows)
    con.execute(f"CREATE TABLE store.{feed} AS SELECT * FROM empty_feed")
    con.unregister("empty_feed")


def loaded_names() -> tuple[str, ...]:
    """Every relation that Python loads, sorted."""
    names = [f"store.{name}" for name in (*STORE, *FEEDS)]
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
