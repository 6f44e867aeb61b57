"""The SQL that one file's batches go through: text cells to typed columns, flags for pandera, reasons for odd rows.

Every statement reads the relation `batch` (c0, c1, ... as text and `source_row`) and is built once for a file from its
plan, so a column, a code or a scale is added in data and never here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from pipeline.feeds.columns import ITEM_WILDCARD, Column
from pipeline.feeds.schemas import ID_LONGEST, ID_PATTERN, IS_IN_TIME, IS_READABLE, ITEMS_FIT
from pipeline.feeds.wound_codes import CODE_COLUMN
from pipeline.intake.cell_sql import (
    UNREAD_CODES,
    cell,
    has_time,
    literal,
    name,
    number,
    states_time,
    text_of,
    typed,
    value_of,
)
from pipeline.intake.item_sql import by_scale, item_fits, item_scores, items_text
from pipeline.intake.mapping import Plan
from pipeline.intake.wound_reading import COLUMNS as CODED
from pipeline.intake.wound_reading import IS_READ, NOTES, read_as, reads_codes

# Privacy rules count everybody above 89 as one class (45 CFR 164.514(b)(2), Safe Harbor): 90 stands for 90 or more.
AGE_COLUMN, AGE_CAP = "age_years", 90
# A stay may be booked ahead, so its start may lie after the day on which the export came in.
BOOKED_AHEAD = {("placements", "started_at")}
AGE_CAPPED = "is_age_capped"

_SQL_TYPES = {
    "date": "DATE", "timestamp": "TIMESTAMP", "integer": "INTEGER", "number": "DECIMAL(18, 4)", "boolean": "BOOLEAN",
}  # fmt: skip


@dataclass(frozen=True)
class Statements:
    """`parse` gives accepted columns, judge_<column> as DOUBLE and the flags for every filled row of `batch`.

    `reasons` gives (source_row, code, column) for the rows of `suspects` whose flags are false; `held` gives record_id,
    client_id and raw for the rows of `reasons_by_row`; `scanned` lists (heading, column of batch) whose values nothing
    else has looked at, so they must be searched for identity.
    """

    parse: str
    reasons: str
    held: str
    scanned: tuple[tuple[str, str], ...]


def statements(plan: Plan, *, received_local: datetime) -> Statements:
    """All SQL of one file; `received_local` is the receive time on the workspace's clock."""
    columns = [column for column in plan.feed.fixed if column.name in plan.columns]
    source = f"({_typed_rows(plan, columns)})"
    return Statements(
        parse=_parse(plan, columns, source=source, received=received_local),
        reasons=_reasons(plan, columns, source=source, received=received_local),
        held=_held(plan, source=source),
        scanned=_scanned(plan, columns),
    )


def _raw(plan: Plan, column: str) -> str:
    return f"c{plan.positions[column]}"


def _typed_rows(plan: Plan, columns: list[Column]) -> str:
    """Each mapped cell twice: as recoded text, and as its type."""
    texts, values = [], []
    form = plan.source.date_format
    for column in columns:
        if column.name == "updated_at" and plan.updated_at:
            texts.append(f"CAST({literal(plan.updated_at.isoformat())} AS VARCHAR) AS {text_of(column.name)}")
            values.append(f"TIMESTAMP {literal(plan.updated_at.isoformat())} AS {value_of(column.name)}")
            continue
        if _holds_codes(plan, column.name):
            text = name(read_as(column.name))
        else:
            recode = plan.source.codes.get(column.name, {})
            text = cell(_raw(plan, column.name), recode=recode, is_list=column.type == "codes")
        texts.append(f"{text} AS {text_of(column.name)}")
        values.append(f"{typed(column, text_of(column.name), form=form, zone=plan.zone)} AS {value_of(column.name)}")
    for item in plan.items:
        texts.append(f"{cell(_raw(plan, item), recode=plan.source.codes.get(item, {}))} AS {text_of(item)}")
        values.append(f"{number(text_of(item))} AS {value_of(item)}")
    cells = [f"c{place}" for place in range(len(plan.headings))]
    # A row without any filled cell is not a row.
    filled = f"coalesce({', '.join(cells)}) IS NOT NULL"
    told = [name(column) for column in (IS_READ, NOTES) if reads_codes(plan.feed)]
    inner = f"SELECT source_row, {', '.join([*cells, *told, *texts])} FROM batch WHERE {filled}"
    return f"SELECT *, {', '.join(values)} FROM ({inner})"


def _holds_codes(plan: Plan, column: str) -> bool:
    return reads_codes(plan.feed) and column in CODED


def _has_time(plan: Plan, column: str) -> str:
    if column == "updated_at" and plan.updated_at:
        return str(states_time(plan.source.updated_at or "")).upper()
    return has_time(text_of(column), value_of(column), form=plan.source.date_format)


def _stored(column: Column) -> str:
    value = value_of(column.name)
    if column.name == AGE_COLUMN:
        value = f"least({value}, {AGE_CAP})"
    # A fraction is held anyway; TRY_CAST only keeps an absurd number from stopping the batch.
    return f"TRY_CAST({value} AS INTEGER)" if column.type == "integer" else value


def _parse(plan: Plan, columns: list[Column], *, source: str, received: datetime) -> str:
    present = {column.name: column for column in columns}
    out = ["source_row"]
    canonical = []
    for column in plan.feed.columns:
        if column.name == ITEM_WILDCARD:
            out.append(f"nullif({items_text(plan)}, '') AS items")
            canonical.append(items_text(plan))
        elif column.name in present:
            out.append(f"{_stored(column)} AS {name(column.name)}")
            if column.type == "timestamp":
                out.append(f"{_has_time(plan, column.name)} AS {name(column.name + '_has_time')}")
            canonical.append(_canonical(plan, column))
        else:
            out.append(f"CAST(NULL AS {_SQL_TYPES.get(column.type, 'VARCHAR')}) AS {name(column.name)}")
            if column.type == "timestamp":
                out.append(f"CAST(NULL AS BOOLEAN) AS {name(column.name + '_has_time')}")
            canonical.append("chr(30)")
    out.append(f"substr(sha256(concat_ws(chr(31), {', '.join(canonical)})), 1, 16) AS content_key")
    out += [f"CAST({value_of(c.name)} AS DOUBLE) AS {name('judge_' + c.name)}" for c in columns if c.low is not None]
    out += _flags(plan, columns, received)
    out += [name(NOTES)] if reads_codes(plan.feed) else []
    return f"SELECT {', '.join(out)} FROM {source}"


def _flags(plan: Plan, columns: list[Column], received: datetime) -> list[str]:
    capped = f"coalesce({value_of(AGE_COLUMN)} > {AGE_CAP}, FALSE)" if AGE_COLUMN in plan.columns else "FALSE"
    return [
        f"{_all(_is_readable(plan, columns))} AS {IS_READABLE}",
        f"{_all(item_fits(plan, item) for item in plan.items)} AS {ITEMS_FIT}",
        f"{_all(_is_in_time(plan, c, received) for c in columns if _has_limit(plan, c))} AS {IS_IN_TIME}",
        f"{capped} AS {AGE_CAPPED}",
    ]


def _all(conditions: object) -> str:
    return " AND ".join(conditions) or "TRUE"


def _is_readable(plan: Plan, columns: list[Column]) -> list[str]:
    read = []
    for column in columns:
        text, value = text_of(column.name), value_of(column.name)
        if column.is_dated and column.required:
            read.append(f"{value} IS NOT NULL")
        elif column.type in UNREAD_CODES:
            read.append(f"({text} IS NULL OR {value} IS NOT NULL)")
        if column.type == "integer":
            read.append(f"coalesce({value} % 1 = 0, TRUE)")
        if column.name == CODE_COLUMN:
            read.append(name(IS_READ))
    return read + [f"({text_of(item)} IS NULL OR {value_of(item)} IS NOT NULL)" for item in plan.items]


def _has_limit(plan: Plan, column: Column) -> bool:
    return column.is_dated and not column.is_planned and (plan.feed.name, column.name) not in BOOKED_AHEAD


def _is_in_time(plan: Plan, column: Column, received: datetime) -> str:
    if column.name == "updated_at":
        limit = f"{value_of(column.name)} <= TIMESTAMP {literal(received.isoformat())}"
    else:
        limit = f"CAST({value_of(column.name)} AS DATE) <= DATE {literal(received.date().isoformat())}"
    return f"coalesce({limit}, TRUE)"


def _canonical(plan: Plan, column: Column) -> str:
    text = f"CAST({_stored(column)} AS VARCHAR)"
    if column.type == "timestamp":
        # A day alone and its midnight are different statements.
        day = f"CAST(CAST({value_of(column.name)} AS DATE) AS VARCHAR)"
        text = f"CASE WHEN {_has_time(plan, column.name)} THEN {text} ELSE {day} END"
    return f"coalesce({text}, chr(30))"


def _reasons(plan: Plan, columns: list[Column], *, source: str, received: datetime) -> str:
    each: list[str] = []
    for column in columns:
        each += _column_reasons(plan, column, received)
    for item in plan.items:
        each += _item_reasons(plan, item)
    found = f"list_filter([{', '.join(each)}], lambda one: one.code IS NOT NULL)"
    inner = f"SELECT source_row, unnest({found}) AS one FROM {source} SEMI JOIN suspects USING (source_row)"
    return f"SELECT source_row, one.code AS code, one.column_name AS column_name FROM ({inner})"


def _reason(column: str, cases: list[tuple[str, str]]) -> str:
    whens = " ".join(f"WHEN {condition} THEN {code}" for condition, code in cases)
    return f"{{'code': CASE {whens} END, 'column_name': {literal(column)}}}"


def _unread(text: str, code: str) -> str:
    # A number too long to keep is a number all the same.
    if code != "not_a_number":
        return literal(code)
    return f"CASE WHEN isfinite(TRY_CAST({text} AS DOUBLE)) THEN 'out_of_range' ELSE {literal(code)} END"


def _column_reasons(plan: Plan, column: Column, received: datetime) -> list[str]:
    text, value = text_of(column.name), value_of(column.name)
    cases = []
    if column.is_dated and column.required:
        cases.append((f"{text} IS NULL", "'missing_required'"))
    if column.type in UNREAD_CODES:
        cases.append((f"{text} IS NOT NULL AND {value} IS NULL", _unread(text, UNREAD_CODES[column.type])))
    if column.type == "integer":
        cases.append((f"{value} % 1 <> 0", "'not_whole'"))
    if column.name == CODE_COLUMN:
        cases.append((f"NOT {name(IS_READ)}", "'unknown_code'"))
    if _has_limit(plan, column):
        code = "updated_after_received" if column.name == "updated_at" else "date_after_received"
        cases.append((f"NOT {_is_in_time(plan, column, received)}", literal(code)))
    return [_reason(column.name, cases)] if cases else []


def _item_reasons(plan: Plan, item: str) -> list[str]:
    text, value = text_of(item), value_of(item)
    scores = item_scores(plan, item)
    of_scale = by_scale(plan, item, cases=dict.fromkeys(scores, "TRUE"))
    whole = {scale: f"{value} % 1 = 0" for scale, found in scores.items() if all(score % 1 == 0 for score in found)}
    in_range = {scale: f"{value} BETWEEN {min(found)} AND {max(found)}" for scale, found in scores.items()}
    cases = [
        (f"NOT {of_scale}", "'item_of_another_scale'"),
        (f"{text} IS NOT NULL AND {value} IS NULL", _unread(text, "not_a_number")),
        (f"NOT {by_scale(plan, item, cases=in_range)}", "'item_out_of_range'"),
        (f"NOT {by_scale(plan, item, cases=dict.fromkeys(scores, 'TRUE') | whole)}", "'not_whole'"),
        (f"NOT {item_fits(plan, item)}", "'item_out_of_range'"),
    ]
    return [_reason(item, cases)]


def _held(plan: Plan, *, source: str) -> str:
    kept = []
    for column in plan.columns_told:
        raw = text_of(column) if column not in plan.positions else _raw(plan, column)
        if column == "updated_at" and plan.source.date_format and column in plan.positions:
            # Whoever reads the kept text later does not know the source's form, so a time that was read is kept as ISO.
            day = f"CAST(CAST({value_of(column)} AS DATE) AS VARCHAR)"
            moment = f"replace(CAST({value_of(column)} AS VARCHAR), ' ', 'T')"
            raw = f"coalesce(CASE WHEN {_has_time(plan, column)} THEN {moment} ELSE {day} END, {raw})"
        kept.append(f"{literal(column)}, {raw}")
    return (
        f"SELECT source_row, {_sound_id(plan.feed.id_column)} AS record_id, {_sound_id('client_id')} AS client_id,"
        f" codes, columns, json_object({', '.join(kept)}) AS raw"
        f" FROM {source} JOIN reasons_by_row USING (source_row) ORDER BY source_row"
    )


def _sound_id(column: str) -> str:
    # A cell in the place of an id may hold anything; only what has the shape of one is shown in lists and on pages.
    text = text_of(column)
    return f"CASE WHEN regexp_full_match({text}, '{ID_PATTERN}') AND length({text}) <= {ID_LONGEST} THEN {text} END"


def _scanned(plan: Plan, columns: list[Column]) -> tuple[tuple[str, str], ...]:
    """Free columns: text, numbers without a range, and what the feed does not know.

    A cell that was read as a code, a day, a boolean or a number in range, and an id with a letter, is no identity.
    """
    free = [c.name for c in columns if c.type == "text" or (c.type == "number" and c.low is None)]
    ours = [(name_, _raw(plan, name_)) for name_ in free if name_ in plan.positions]
    return (*ours, *((heading, f"c{place}") for heading, place in plan.dropped))
