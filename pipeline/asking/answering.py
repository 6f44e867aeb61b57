"""Writes an answer as text or as a file, batch by batch."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

from pipeline import files
from pipeline.asking.limits import Limits
from pipeline.asking.running import Answer, answered
from pipeline.asking.statement import NOT_RUN
from pipeline.errors import QueryRefused
from pipeline.settings import Workspace
from pipeline.tables import FORMATS, Rows, pieces

Write = Callable[[str], None]
PARQUET = "parquet"


@dataclass(frozen=True)
class Question:
    """`sql`: one SELECT. `form`: table, csv, json or parquet. `out`: the file to write; None: to `write`."""

    sql: str
    form: str = FORMATS[0]
    out: Path | None = None
    limits: Limits = field(default_factory=Limits)


def answer(workspace: Workspace, question: Question, *, write: Write) -> int:
    """Give the answer to `write` or into the file, and return how many rows it has.

    A file appears whole or not at all. Raises NoWarehouse and QueryRefused.
    """
    _must_have_a_place(workspace, question)
    with answered(workspace.warehouse, question.sql, limits=question.limits) as answer:
        if question.out is None:
            return _write_text(answer, form=question.form, write=write)
        aside = files.temporary_name(question.out)
        try:
            rows = _write_file(answer, aside, form=question.form)
            files.replace(aside, question.out)
        finally:
            files.remove(aside)
        return rows


def _must_have_a_place(workspace: Workspace, question: Question) -> None:
    out = question.out
    if out is None:
        if question.form == PARQUET:
            raise _no_place("Parquet is no text and cannot be printed.", "Name a file with --out.")
        return
    if not out.absolute().parent.is_dir() or out.is_dir():
        raise _no_place(f"{out.name} cannot be written: its folder is not there, or it is a folder itself.",
                        "Make the folder, or name another file.")  # fmt: skip
    place = out.absolute().parent.resolve() / out.name
    own = (workspace.inbox, workspace.store, workspace.audits, workspace.logs, workspace.policy, workspace.warehouse,
           workspace.last_run, workspace.lock, workspace.root / "caseround.toml")  # fmt: skip
    if any(place.is_relative_to(kept.resolve()) for kept in own):
        raise _no_place(f"{out.name} would lie among the workspace's own files, or over one of them.",
                        "Name a file elsewhere.")  # fmt: skip


def _no_place(what: str, todo: str) -> QueryRefused:
    return QueryRefused(what=what, done=NOT_RUN, todo=todo)


def _write_text(answer: Answer, *, form: str, write: Write) -> int:
    counted = Counted()
    for piece in pieces(answer.schema.names, counted.rows_of(answer), form=form):
        write(piece)
    return counted.rows


def _write_file(answer: Answer, path: Path, *, form: str) -> int:
    if form == PARQUET:
        return _write_parquet(answer, path)
    with path.open("w", encoding="utf-8", newline="") as out:
        return _write_text(answer, form=form, write=out.write)


def _write_parquet(answer: Answer, path: Path) -> int:
    rows = 0
    try:
        with pq.ParquetWriter(path, answer.schema) as out:
            for batch in answer.batches:
                out.write_batch(batch)
                rows += batch.num_rows
    except (pa.ArrowNotImplementedError, pa.ArrowTypeError):
        raise QueryRefused(
            what="Parquet has no type for one of the columns.",
            done="No file was written.",
            todo="Make it text in the query: CAST(column AS VARCHAR).",
        ) from None
    return rows


class Counted:
    """Rows of an answer as plain values, counted as they pass."""

    def __init__(self) -> None:
        self.rows = 0

    def rows_of(self, answer: Answer) -> Iterator[Rows]:
        """Each batch as tuples, in the order of the columns."""
        for batch in answer.batches:
            self.rows += batch.num_rows
            yield zip(*(column.to_pylist() for column in batch.columns), strict=True)
