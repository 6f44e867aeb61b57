"""The audit before this one, computed again: what is new since then, and what has stood for two audits, needs it."""

from collections.abc import Mapping
from dataclasses import dataclass

import duckdb

from pipeline.policy import Policy
from pipeline.review.graph import Relation, ancestors, columns_wanted, in_order
from pipeline.review.inputs import (
    PREVIOUS,
    create_kept_inputs,
    create_store_inputs,
    fill_parameters,
    fill_policy,
    keep_recurring,
)
from pipeline.review.moments import Moment, parameters
from pipeline.review.steps import run_one
from pipeline.review.store_views import Store, load_store
from pipeline.settings import Workspace


@dataclass(frozen=True)
class Desk:
    """What every audit of one review needs: the connection, and where its facts come from."""

    con: duckdb.DuckDBPyConnection
    workspace: Workspace
    policy: Policy
    store: Store


def add_previous(desk: Desk, moment: Moment, *, relations: Mapping[str, Relation]) -> None:
    """Compute the audit before this one and keep in `built` what it raised and tallied.

    It is the same code on what was known then, in a database of its own. Published pages are never read back: a
    correction of how something is computed would look like news about people.
    """
    with desk.con.cursor() as con:
        con.execute("ATTACH ':memory:' AS previous")
        con.execute("USE previous")
        create_store_inputs(con)
        load_store(con, desk.workspace, desk.store, known_at=moment.known_at)
        keep_recurring(con, of="memory")
        create_kept_inputs(con, relations)
        fill_parameters(con, parameters(
            desk.workspace, moment, is_first_audit=True, policy_fingerprint=desk.policy.fingerprint(moment.as_of),
            store_fingerprint="",
        ))  # fmt: skip
        fill_policy(con, desk.policy.tables(moment.as_of))
        steps = in_order(ancestors(relations, PREVIOUS.values()))
        for relation in steps:
            # Nobody will read this database, so a column that no later step names is not worked out.
            wanted = columns_wanted(relation, steps) if relation.name not in PREVIOUS.values() else ()
            run_one(con, relation, columns=wanted)
        for name, model in PREVIOUS.items():
            columns = ", ".join(f'"{column.name}"' for column in relations[model].header.columns)
            con.execute(f"INSERT INTO built.{name} ({columns}) SELECT {columns} FROM previous.{model}")
        con.execute("USE memory")
        con.execute("DETACH previous")
