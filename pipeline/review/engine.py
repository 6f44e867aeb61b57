"""From store and policy to a new warehouse file: load, run every SELECT in its order, check, publish."""

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from datetime import date, datetime
from pathlib import Path

import duckdb

from pipeline import files
from pipeline.log import Progress, RunLog
from pipeline.policy import Policy
from pipeline.resources import sql_dir
from pipeline.review import checks, comments, publish
from pipeline.review.generated import VERDICTS, verdicts_relation
from pipeline.review.graph import Relation, load_relations
from pipeline.review.headers import HeaderColumn, parse_header
from pipeline.review.inputs import (
    PREVIOUS,
    create_kept_inputs,
    create_store_inputs,
    fill_parameters,
    fill_policy,
    keep_recurring,
)
from pipeline.review.moments import Moment, moment_before, parameters
from pipeline.review.previous import Desk, add_previous
from pipeline.review.rule_compiler import compile_verdicts
from pipeline.review.steps import run_all
from pipeline.review.store_views import Store, check_sums, fingerprint, load_store, read_store
from pipeline.settings import Workspace

SUBJECTS = {"client": "state.clients", "injury": "state.injuries", "loan": "state.loans"}
# Enough for a million assessments in memory; past it DuckDB writes to the workspace's own disk, not to /tmp.
MEMORY_LIMIT = "1200MB"
# Work is shared out by relation, several at a time; sharing out each relation as well costs more than it brings.
THREADS = 1


def state_columns() -> dict[str, tuple[HeaderColumn, ...]]:
    """What a rule about a client, an injury or a loan may speak of: the documented columns of its state relation."""
    headers = {about: sql_dir() / f"{name.replace('.', '/')}.sql" for about, name in SUBJECTS.items()}
    return {about: parse_header(path.read_text(encoding="utf-8")).columns for about, path in headers.items()}


def _columns_of(relations: Mapping[str, Relation]) -> dict[str, tuple[HeaderColumn, ...]]:
    return {about: relations[name].header.columns for about, name in SUBJECTS.items()}


def all_relations(policy: Policy, as_of: date) -> dict[str, Relation]:
    """Every relation of the warehouse, the rules in force on that day compiled into audit.verdicts."""
    relations = load_relations(sql_dir())
    return relations | {VERDICTS: compiled_verdicts(relations, policy, as_of=as_of)}


def compiled_verdicts(
    relations: Mapping[str, Relation], policy: Policy, *, as_of: date, with_unknown: bool = True
) -> Relation:
    """audit.verdicts for the rules in force on that day, typed from the headers of the state relations."""
    return verdicts_relation(compile_verdicts(policy.rules(as_of), _columns_of(relations), with_unknown=with_unknown))


def build(
    workspace: Workspace, policy: Policy, *, as_of: date, known_at: datetime, progress: Progress, log: RunLog
) -> Path:
    """Build the warehouse of one audit beside the published one, check it, swap the two and return its path.

    `known_at` is an aware UTC instant. Raises ChecksDisagree, and publishes nothing, when the store is not as its
    receipts say or when a check on the new relations finds a row.
    """
    moment = Moment(as_of=as_of, known_at=known_at)
    store = read_store(workspace)
    check_sums(workspace, [receipt for receipt in store.receipts if receipt.received <= known_at])
    unfinished = files.temporary_name(workspace.warehouse)
    spill = files.temporary_name(workspace.root / "review")
    publish.clear(unfinished)
    con = duckdb.connect(
        ":memory:", config={"threads": THREADS, "memory_limit": MEMORY_LIMIT, "temp_directory": str(spill)}
    )
    try:
        desk = Desk(con, workspace, policy, store)
        block = _block_bytes(store)
        # What a killed review leaves is thrown away, so nothing need be kept to mend it by.
        options = f"BLOCK_SIZE {block}, RECOVERY_MODE no_wal_writes"
        con.execute(f"ATTACH '{publish.quoted_path(unfinished)}' AS built ({options})")
        relations = build_audit(desk, moment, progress=progress, log=log)
        log.event("review_built", relations=len(relations))
        checks.require_clean(con, relations)
        progress("checks", 1, 1)
        con.execute("CHECKPOINT built")
    finally:
        con.close()
        files.remove_tree(spill)
    publish.swap(unfinished, workspace.warehouse)
    log.event("review_published")
    return workspace.warehouse


def _block_bytes(store: Store) -> int:
    # Every column of a table takes at least one block, so a small caseload in large blocks is a file of empty space;
    # a large one in small blocks takes half as long again to write.
    return 16_384 if sum(receipt.accepted for receipt in store.receipts) < 100_000 else 262_144


def build_audit(desk: Desk, moment: Moment, *, progress: Progress, log: RunLog) -> dict[str, Relation]:
    """Make every relation of one audit in the attached, empty database `built`, and return them by name."""
    con = desk.con
    # The store stays outside the published file: the warehouse must not carry every export a second time.
    create_store_inputs(con)
    load_store(con, desk.workspace, desk.store, known_at=moment.known_at)
    log.event("store_read", receipts=len(desk.store.receipts))
    with ThreadPoolExecutor(max_workers=2) as beside:
        # Both go through all that was ever received, and nothing needs them before the first step.
        recurring = beside.submit(keep_recurring, con.cursor())
        store_sum = beside.submit(fingerprint, con.cursor())
        relations = all_relations(desk.policy, moment.as_of)
        con.execute("USE built")
        create_kept_inputs(con, relations)
        con.execute("SET search_path = 'built.main,memory.store'")
        fill_policy(con, desk.policy.tables(moment.as_of))
        comments.describe_loaded(con, relations)
        recurring.result()
        before = _fill_moments(desk, moment, store_sum=store_sum.result())
        # The audit before runs beside this one until somebody asks for it. It leaves behind what it found and what it
        # counted, and what it could not tell is in neither.
        previous = None
        if before is not None:
            rules = compiled_verdicts(relations, desk.policy, as_of=before.as_of, with_unknown=False)
            earlier = relations | {VERDICTS: rules}
            previous = beside.submit(add_previous, desk, before, relations=earlier)

        def needs(relation: Relation) -> None:
            if previous is not None and any(name in PREVIOUS for name in relation.inputs):
                previous.result()

        run_all(con, relations, needs=needs, progress=progress, log=log)
    return relations


def _fill_moments(desk: Desk, moment: Moment, *, store_sum: str) -> Moment | None:
    """Fill review.parameters; the moment of the audit before this one, None when nothing had been received by then."""
    before = moment_before(desk.workspace, moment)
    first = desk.store.first_received()
    is_first = first is None or first > before.known_at
    fill_parameters(desk.con, parameters(
        desk.workspace, moment, is_first_audit=is_first, policy_fingerprint=desk.policy.fingerprint(moment.as_of),
        store_fingerprint=store_sum,
    ))  # fmt: skip
    return None if is_first else before
