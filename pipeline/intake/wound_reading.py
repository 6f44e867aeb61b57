"""Codes in a batch of wounds, read as the feed's own words before anything is judged.

A cell of the stage, the location or the side may hold a code instead of a word, and a code fills those of the three
that are blank. A batch holds few different cells, so each combination of them is read once, whatever the rows.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
import pyarrow as pa

from pipeline.feeds.columns import Feed
from pipeline.feeds.wound_codes import CODE_COLUMN, FEED, FILLED, WoundCode, find
from pipeline.intake.mapping import Plan

COLUMNS = (CODE_COLUMN, *FILLED)
# Columns that reading adds to a batch, beside the words: is the code's own column read, and what is a reader told?
IS_READ, NOTES = "code is read", "code notes"
INACTIVE, DISAGREES = "inactive_code", "code_disagrees"

Cells = tuple[str | None, ...]


def reads_codes(feed: Feed) -> bool:
    """Is this the feed whose cells may hold such codes?"""
    return feed.name == FEED


def read_as(column: str) -> str:
    """The column of a batch that holds a feed column's cells once codes are read."""
    return f"read {column}"


def read_codes(rows: pa.Table, plan: Plan) -> pa.Table:
    """The batch with its cells read: a text column for each of COLUMNS, IS_READ and NOTES.

    Notes are "note:column:code" joined by ";", NULL where nothing has to be said.
    """
    order, combinations = _combinations(rows, plan)
    readings = [_reading(cells) for cells in combinations]
    names = (*(read_as(column) for column in COLUMNS), NOTES)
    for place, name in enumerate(names):
        rows = rows.append_column(name, pa.array([one[place] for one in readings], pa.string()).take(order))
    return rows.append_column(IS_READ, pa.array([one[-1] for one in readings], pa.bool_()).take(order))


def _combinations(rows: pa.Table, plan: Plan) -> tuple[pa.Array, list[Cells]]:
    """For each row the number of its combination, and the different combinations of cells in the order of COLUMNS."""
    number = np.zeros(rows.num_rows, dtype="int64")
    combinations: list[Cells] = [()]
    for column in COLUMNS:
        place, recode = plan.positions.get(column), plan.source.codes.get(column, {})
        if place is None:
            combinations = [(*cells, None) for cells in combinations]
            continue
        coded = rows[f"c{place}"].combine_chunks().dictionary_encode(null_encoding="encode")
        words = [recode.get(cell, cell) or None for cell in coded.dictionary.to_pylist()]
        both = number * max(len(words), 1) + coded.indices.to_numpy(zero_copy_only=False)
        seen, number = np.unique(both, return_inverse=True)
        combinations = [(*combinations[one // len(words)], words[one % len(words)]) for one in seen.tolist()]
    return pa.array(number, pa.int64()), combinations


@lru_cache(maxsize=4096)
def _reading(cells: Cells) -> tuple[str | bool | None, ...]:
    """The words of COLUMNS, the notes, and whether the first cell is blank or a code."""
    stated = dict(zip(COLUMNS, cells, strict=True))
    codes = {column: code for column, cell in stated.items() if cell and (code := find(cell, column=column))}
    words = {column: cell for column, cell in stated.items() if column not in codes}
    # A column's own code speaks for it first, then the code that has a column to itself, then any other in the row.
    for column in FILLED:
        speakers = [codes[one] for one in (column, *COLUMNS) if one in codes]
        said = next((code.says[column] for code in speakers if column in code.says), None)
        words[column] = words.get(column) or said
    own = codes.get(CODE_COLUMN)
    notes = ";".join(sorted(set(_notes(codes, words))))
    read = [own.code if own else stated[CODE_COLUMN], *(words[column] for column in FILLED)]
    return (*read, notes or None, own is not None or stated[CODE_COLUMN] is None)


def _notes(codes: dict[str, WoundCode], words: dict[str, str | None]) -> Iterator[str]:
    for place, code in codes.items():
        if not code.is_active:
            yield f"{INACTIVE}:{place}:{code.code}"
        for column in FILLED:
            if (word := words[column]) and code.contradicts(column, word):
                yield f"{DISAGREES}:{column}:{code.code}"
