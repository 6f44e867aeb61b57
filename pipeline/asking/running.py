"""Runs one SELECT and hands its rows on in batches."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import duckdb
import pyarrow as pa

from pipeline import warehouse
from pipeline.asking.limits import Limits, Watch, bounded_memory
from pipeline.asking.statement import NOT_RUN, first_line, must_be_one_select, reads_only_relations
from pipeline.errors import QueryRefused

BATCH_ROWS = 5_000
# These speak of the query's own words. Every other error of the engine may quote a cell, and is told without its text.
OF_THE_WORDS = (duckdb.CatalogException, duckdb.BinderException, duckdb.ParserException)
ENDED = "The query was ended, and what it gave so far is not the whole answer."


@dataclass(frozen=True)
class Answer:
    """`schema`: the columns, each with a name of its own. `batches`: the rows, to be read once and before the end."""

    schema: pa.Schema
    batches: Iterator[pa.RecordBatch]


@contextmanager
def answered(path: Path, sql: str, *, limits: Limits) -> Iterator[Answer]:
    """The answer of the warehouse at `path` to one SELECT, while this lasts.

    Raises NoWarehouse, and QueryRefused for what is no single SELECT, cannot run, or runs past its limits; the latter
    two also while the batches are read.
    """
    con = warehouse.open_readonly(path, threads=limits.threads, memory=f"{limits.memory_mb}MB")
    try:
        must_be_one_select(con, sql)
        with Watch(con, limits.seconds) as watch, bounded_memory(limits):
            try:
                reader = _reader(con, sql, watch=watch, limits=limits)
                schema = pa.schema(_with_own_names(reader.schema))
                yield Answer(schema, _batches(reader, schema, watch=watch, limits=limits))
            except MemoryError:
                raise _too_large(limits) from None
    finally:
        con.close()


def _reader(con: duckdb.DuckDBPyConnection, sql: str, *, watch: Watch, limits: Limits) -> pa.RecordBatchReader:
    try:
        return con.sql(sql).to_arrow_reader(BATCH_ROWS)
    except duckdb.Error as error:
        raise _refusal(error, watch=watch, limits=limits) from None


def _batches(
    reader: pa.RecordBatchReader, schema: pa.Schema, *, watch: Watch, limits: Limits
) -> Iterator[pa.RecordBatch]:
    while True:
        try:
            batch = reader.read_next_batch()
        except StopIteration:
            return
        # Once the rows flow, an error of the engine arrives in the clothes of the library that carries them.
        except (duckdb.Error, pa.ArrowException, OSError) as error:
            raise _refusal(error, watch=watch, limits=limits) from None
        if watch.is_over:
            raise _too_slow(limits)
        yield pa.RecordBatch.from_arrays(batch.columns, schema=schema)


def _with_own_names(schema: pa.Schema) -> list[pa.Field]:
    """A join may give one name twice; a program that reads JSON or Parquet would lose one of the columns."""
    taken: set[str] = set()
    fields = []
    for field in schema:
        name, again = field.name, 0
        while name in taken:
            again += 1
            name = f"{field.name}_{again}"
        taken.add(name)
        fields.append(field.with_name(name))
    return fields


def _refusal(error: Exception, *, watch: Watch, limits: Limits) -> QueryRefused:
    if watch.is_over:
        return _too_slow(limits)
    if isinstance(error, duckdb.OutOfMemoryException) or "Out of Memory" in str(error):
        return _too_large(limits)
    if isinstance(error, duckdb.PermissionException):
        return reads_only_relations("asks for something else")
    if isinstance(error, OF_THE_WORDS):
        return QueryRefused(
            what=f"The warehouse cannot answer that: {first_line(error)}.",
            done=NOT_RUN,
            todo="Column and relation names are in `caseround relations` and in warehouse_guide.html; after an update"
            " of caseround, run `caseround review` first.",
        )
    # Only the engine's name for what went wrong: its sentence goes on with the value.
    named = re.match(r"[A-Z][A-Za-z ]* Error(?=:)", str(error))
    kind = f" ({named[0]})" if named else ""
    return QueryRefused(
        what=f"The query failed on a value{kind}; which one is not said here, for it may be a cell.",
        done=ENDED,
        todo="Use TRY_CAST for values that may not fit, and NULLIF(x, 0) below a division.",
    )


def _too_slow(limits: Limits) -> QueryRefused:
    return QueryRefused(
        what=f"The query took longer than {limits.seconds} seconds.",
        done=ENDED,
        todo="Ask for less (fewer relations, a WHERE, an aggregate), check that every join has its ON, or give it more "
        "time with --seconds.",
    )


def _too_large(limits: Limits) -> QueryRefused:
    return QueryRefused(
        what=f"The query needed more than {limits.memory_mb:,} MB of memory.",
        done=ENDED,
        todo="Ask for less: fewer rows, a WHERE, an aggregate, no ORDER BY or DISTINCT over everything.",
    )
