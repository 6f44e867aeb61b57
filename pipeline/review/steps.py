"""Running SELECTs into the tables and views that they are named after."""

import graphlib
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait

import duckdb

from pipeline.log import Progress, RunLog
from pipeline.review import comments
from pipeline.review.graph import Relation, in_order
from pipeline.review.inputs import insert_rows

# Most relations are too small to keep two threads at work, so each has one and two of them are made at a time.
AT_A_TIME = 2

Count = int | None


def run_one(con: duckdb.DuckDBPyConnection, relation: Relation, *, columns: tuple[str, ...] = ()) -> Count:
    """Make one relation from its SELECT, all of it or some columns; the number of its rows, None for a view."""
    kind = "VIEW" if relation.header.stored == "view" else "TABLE"
    sql = relation.sql
    if columns:
        listed = ", ".join(f'"{name}"' for name in columns)
        sql = f"SELECT {listed} FROM ({sql}\n)"
    made = con.execute(f"CREATE {kind} {relation.name} AS {sql}").fetchone()
    return int(made[0]) if kind == "TABLE" else None


def run_all(
    con: duckdb.DuckDBPyConnection,
    relations: Mapping[str, Relation],
    *,
    needs: Callable[[Relation], None],
    progress: Progress,
    log: RunLog,
) -> None:
    """Make every relation, each after all that it reads, and write review.steps in the order of the graph.

    `needs` is called before each, from a thread of the steps, and returns once what it reads beside the other relations
    is there.
    """
    path = con.execute("SELECT current_setting('search_path')").fetchone()[0]

    def make(relation: Relation) -> Count:
        needs(relation)
        with con.cursor() as own:
            own.execute(f"SET search_path = '{path}'")
            count = run_one(own, relation)
            comments.describe(own, relation)
        return count

    counts: dict[str, Count] = {}
    with ThreadPoolExecutor(max_workers=AT_A_TIME) as pool:
        try:
            for name, count in _as_they_finish(pool, relations, make):
                counts[name] = count
                progress("review", len(counts), len(relations))
                log.event("relation_built", relation=name, rows=count)
        finally:
            # After a fault nothing more is begun.
            pool.shutdown(cancel_futures=True)
    rows = [(step, relation.name, counts[relation.name]) for step, relation in enumerate(in_order(relations), start=1)]
    insert_rows(con, "review.steps", rows)


def _as_they_finish(
    pool: ThreadPoolExecutor, relations: Mapping[str, Relation], make: Callable[[Relation], Count]
) -> Iterator[tuple[str, Count]]:
    order = {relation.name: step for step, relation in enumerate(in_order(relations))}
    sorter = graphlib.TopologicalSorter(
        {name: [source for source in relation.inputs if source in relations] for name, relation in relations.items()}
    )
    sorter.prepare()
    running: dict[Future[Count], str] = {}
    while sorter.is_active():
        for name in sorted(sorter.get_ready(), key=order.__getitem__):
            running[pool.submit(make, relations[name])] = name
        for future in wait(running, return_when=FIRST_COMPLETED).done:
            name = running.pop(future)
            yield name, future.result()
            sorter.done(name)
