"""Pandera schemas made from the feed table: what a parsed batch of one feed must hold.

The batch has been parsed before it comes here, so numbers are float64, flags are booleans and the rest is text; nothing
is coerced, because one odd cell would then fail a whole file. The name of a failing check is the code of the reason.
"""

from __future__ import annotations

import warnings
from collections.abc import Collection

import pandas as pd

# Where pyspark-client is installed pandera looks at it, here and at its first check, and it warns of a feature that is
# not used here.
warnings.filterwarnings("ignore", message="PySpark does not yet fully support pandas", category=FutureWarning)

import pandera.pandas as pa  # noqa: E402
from pandera.errors import SchemaErrors  # noqa: E402

from pipeline.feeds.columns import Column, Feed  # noqa: E402

# What only the parser can see of a row comes as one boolean column each; false says that the row's cells need a closer
# look. One column for a whole row, because a check over several columns would fail once for each of them.
IS_READABLE = "is_readable"
ITEMS_FIT = "items_fit"
IS_IN_TIME = "is_in_time"
FLAGS = (IS_READABLE, ITEMS_FIT, IS_IN_TIME)

# Without look-ahead, so that the fast matcher of text columns can run it: up to 8 characters, or any with a letter.
ID_PATTERN = r"^(?:[A-Za-z0-9._-]{1,8}|[0-9._-]*[A-Za-z][A-Za-z0-9._-]*)$"
ID_LONGEST = 64


def schema_for(feed: Feed, *, columns: Collection[str], scales: Collection[str]) -> pa.DataFrameSchema:
    """The schema of a parsed batch that holds these of the feed's columns, and the flags.

    Dates, booleans and items have no column: they are parsed or not, which the flags say. A `code` column without codes
    in the table is a scale, and must be one of `scales`.
    """
    wanted = {c.name: _column(c, scales) for c in feed.fixed if c.name in columns and is_judged(c)}
    flags = {flag: pa.Column(bool, pa.Check.equal_to(True, error=flag), nullable=False) for flag in FLAGS}
    return pa.DataFrameSchema({**wanted, **flags}, strict=True, ordered=False)


def is_judged(column: Column) -> bool:
    """Does a schema look at the column's own values, rather than at a flag alone?"""
    is_text = column.type in ("id", "code", "codes") or (column.type == "text" and column.required)
    return is_text or column.low is not None


def _column(column: Column, scales: Collection[str]) -> pa.Column:
    checks = []
    if column.type == "id":
        checks = [
            pa.Check.str_matches(ID_PATTERN, error="bad_id"),
            pa.Check.str_length(max_value=ID_LONGEST, error="bad_id"),
        ]
    elif column.type == "code":
        checks = (
            [pa.Check.isin(column.codes, error="unknown_code")]
            if column.codes
            else [pa.Check.isin(sorted(scales), error="unknown_scale")]
        )
    elif column.type == "codes":
        one = "|".join(column.codes)
        checks = [pa.Check.str_matches(f"^(?:{one})(?:;(?:{one}))*$", error="unknown_code")]
    elif column.low is not None:
        checks = [pa.Check.in_range(float(column.low), float(column.high), error="out_of_range")]
    return pa.Column("float64" if column.low is not None else None, checks, nullable=not column.required)


def failures(schema: pa.DataFrameSchema, frame: pd.DataFrame) -> pd.DataFrame:
    """Every failing check of a batch: `source_row` (the frame's index), `code`, `column`; empty for a clean batch.

    Raises RuntimeError for a fault of the whole frame, which is a bug here and never the file's. No error that pandera
    builds leaves this function: its text and its table hold cell values.
    """
    try:
        schema.validate(frame, lazy=True)
    except SchemaErrors as found:
        cases = found.failure_cases[["index", "column", "check"]]
    else:
        return pd.DataFrame({"source_row": [], "code": [], "column": []})
    if cases["index"].isna().any():
        faults = sorted({f"{case.column}: {case.check}" for case in cases[cases["index"].isna()].itertuples()})
        raise RuntimeError(f"the parsed batch does not fit its schema ({'; '.join(faults)})") from None
    code = cases["check"].where(cases["check"] != "not_nullable", "missing_required")
    return pd.DataFrame({"source_row": cases["index"].astype("int64"), "code": code, "column": cases["column"]})
