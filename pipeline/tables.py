"""Rows as text for a terminal, a spreadsheet or a program."""

import csv
import io
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

FORMATS = ("table", "csv", "json")


@dataclass(frozen=True)
class Table:
    """Rows under headings; each row has one cell for each heading, None for not recorded."""

    headings: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]


def as_text(table: Table, *, form: str) -> str:
    """The table in one of FORMATS, with a line end after the last row; ValueError for any other format."""
    if form == "csv":
        return _csv(table)
    if form == "json":
        rows = [dict(zip(table.headings, row, strict=True)) for row in table.rows]
        return json.dumps(rows, indent=2, ensure_ascii=False, default=str) + "\n"
    if form != "table":
        raise ValueError(f"unknown format {form}")
    return _aligned(table)


def _csv(table: Table) -> str:
    out = io.StringIO()
    lines = csv.writer(out, lineterminator="\n")
    lines.writerow(table.headings)
    lines.writerows([[_harmless(cell) for cell in row] for row in table.rows])
    return out.getvalue()


def _harmless(cell: Any) -> str:
    """A spreadsheet runs text that begins like a formula; an apostrophe in front makes it text again."""
    text = "" if cell is None else str(cell)
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r")) and isinstance(cell, str) else text


def _aligned(table: Table) -> str:
    lines = [table.headings, *[tuple("" if cell is None else str(cell) for cell in row) for row in table.rows]]
    widths = [max(len(line[column]) for line in lines) for column in range(len(table.headings))]
    rule: Sequence[str] = ["-" * width for width in widths]
    padded = [
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in (lines[0], rule, *lines[1:])
    ]
    return "\n".join(padded) + "\n"
