"""Rows as text for a terminal, a spreadsheet or a program, piece by piece, so that no table must fit into memory."""

import csv
import io
import json
import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

FORMATS = ("table", "csv", "json")
Rows = Iterable[Sequence[Any]]

# A spreadsheet takes text that begins like this for a formula or a command.
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
# What could move a terminal's cursor or colour its text.
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]")


@dataclass(frozen=True)
class Table:
    """Rows under headings; each row has one cell for each heading, None for not recorded."""

    headings: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]


def as_text(table: Table, *, form: str) -> str:
    """The table in one of FORMATS, with a line end after the last row; ValueError for any other format."""
    return "".join(pieces(table.headings, [table.rows], form=form))


def pieces(headings: Sequence[str], batches: Iterable[Rows], *, form: str) -> Iterator[str]:
    """The same for rows that come in batches: text that makes the whole when it is joined.

    A table's columns are as wide as what has come so far asks for: a later batch may be wider and is never cut.
    """
    writers = {"csv": _csv, "json": _json, "table": _aligned}
    if form not in writers:
        raise ValueError(f"unknown format {form}")
    return writers[form](headings, batches)


def _csv(headings: Sequence[str], batches: Iterable[Rows]) -> Iterator[str]:
    yield _csv_lines([headings])
    for rows in batches:
        yield _csv_lines(rows)


def _csv_lines(rows: Rows) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([[_harmless(cell) for cell in row] for row in rows])
    return out.getvalue()


def _harmless(cell: Any) -> str:
    """A spreadsheet runs text that begins like a formula; an apostrophe in front makes it text again."""
    text = _plain(cell)
    return f"'{text}" if isinstance(cell, str) and text.startswith(_FORMULA) else text


def _plain(cell: Any) -> str:
    """A cell as the exports write theirs: true and false, ISO days and times, nothing for not recorded."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, date | datetime):
        return cell.isoformat()
    if isinstance(cell, list | dict):
        return json.dumps(_jsonable(cell), ensure_ascii=False)
    return cell.hex() if isinstance(cell, bytes) else str(cell)


def _json(headings: Sequence[str], batches: Iterable[Rows]) -> Iterator[str]:
    before = "[\n"
    for rows in batches:
        for row in rows:
            cells = {heading: _jsonable(cell) for heading, cell in zip(headings, row, strict=True)}
            yield before + "  " + json.dumps(cells, ensure_ascii=False)
            before = ",\n"
    yield "[]\n" if before == "[\n" else "\n]\n"


def _jsonable(cell: Any) -> Any:
    """Numbers stay numbers; what JSON has no word for becomes text, and a number that is none becomes null."""
    if cell is None or isinstance(cell, bool | int | str):
        return cell
    if isinstance(cell, Decimal):
        return int(cell) if cell == cell.to_integral_value() else float(cell)
    if isinstance(cell, float):
        return cell if math.isfinite(cell) else None
    if isinstance(cell, list | tuple):
        return [_jsonable(part) for part in cell]
    if isinstance(cell, dict):
        return {str(name): _jsonable(part) for name, part in cell.items()}
    return _plain(cell)


def _aligned(headings: Sequence[str], batches: Iterable[Rows]) -> Iterator[str]:
    title = [_on_one_line(heading) for heading in headings]
    widths = [len(heading) for heading in title]
    is_titled = False
    for rows in batches:
        lines = [[_on_one_line(_plain(cell)) for cell in row] for row in rows]
        widths = [max([width, *(len(line[place]) for line in lines)]) for place, width in enumerate(widths)]
        if not is_titled:
            yield _lines([title, ["-" * width for width in widths]], widths)
            is_titled = True
        yield _lines(lines, widths)
    if not is_titled:
        yield _lines([title, ["-" * width for width in widths]], widths)


def _lines(lines: Iterable[Sequence[str]], widths: Sequence[int]) -> str:
    padded = (
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip() for line in lines
    )
    return "".join(f"{line}\n" for line in padded)


def _on_one_line(text: str) -> str:
    return _CONTROL.sub(lambda found: found[0].encode("unicode_escape").decode(), text)
