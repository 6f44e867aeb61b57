"""SQL for single cells: text in, a typed value or NULL out, one expression for each type of the feed table.

DuckDB's casts are generous (they drop an offset, and anything after a date), so the shape is checked first.
"""

from __future__ import annotations

from pipeline.feeds.columns import Column

# Years 1000 to 2999: others are slips, and a year 0 would be no date at all for some readers.
_DAY = r"[12]\d{3}-\d{2}-\d{2}"
_TIME = _DAY + r"[T ]\d{2}:\d{2}(?::\d{2}(?:\.\d{1,9})?)?"
_OFFSET = r"(?:Z|[+-]\d{2}(?::?\d{2})?)"


def name(text: str) -> str:
    """A quoted SQL identifier."""
    return '"' + text.replace('"', '""') + '"'


def literal(text: str) -> str:
    """A quoted SQL text."""
    return "'" + text.replace("'", "''") + "'"


def text_of(column: str) -> str:
    """The name of a column's recoded text."""
    return name(f"text {column}")


def value_of(column: str) -> str:
    """The name of a column's typed value."""
    return name(f"value {column}")


def cell(raw: str, *, recode: dict[str, str], is_list: bool = False) -> str:
    """A cell's text with the source's codes read as ours, NULL when nothing is left.

    Of a cell that holds several codes each is read by itself; they come back sorted and once each, joined by ";".
    """
    if is_list:
        each = _recoded("part", recode)
        parts = f"list_transform(string_split({raw}, ';'), lambda part: trim(part))"
        kept = f"list_filter(list_transform({parts}, lambda part: {each}), lambda part: part <> '')"
        return f"nullif(array_to_string(list_sort(list_distinct({kept})), ';'), '')"
    return f"nullif({_recoded(raw, recode)}, '')" if recode else raw


def _recoded(text: str, recode: dict[str, str]) -> str:
    if not recode:
        return text
    cases = " ".join(f"WHEN {literal(theirs)} THEN {literal(ours)}" for theirs, ours in sorted(recode.items()))
    return f"CASE {text} {cases} ELSE {text} END"


def day(text: str, *, form: str | None) -> str:
    """DATE, or NULL when the text is no day; the source's own form first, then ISO 8601."""
    iso = f"CASE WHEN regexp_full_match({text}, '{_DAY}') THEN TRY_CAST({text} AS DATE) END"
    return f"coalesce(CAST(try_strptime({text}, {literal(form)}) AS DATE), {iso})" if form else iso


def moment(text: str, *, form: str | None, zone: str) -> str:
    """Local TIMESTAMP, or NULL: a day alone is its midnight, a time with an offset is converted to the zone."""
    iso = (
        f"CASE WHEN {text} IS NULL THEN NULL"
        f" WHEN regexp_full_match({text}, '{_TIME}') THEN TRY_CAST({text} AS TIMESTAMP)"
        f" WHEN regexp_full_match({text}, '{_DAY}') THEN TRY_CAST(TRY_CAST({text} AS DATE) AS TIMESTAMP)"
        f" WHEN regexp_full_match({text}, '{_TIME}{_OFFSET}')"
        f" THEN timezone({literal(zone)}, TRY_CAST({text} AS TIMESTAMPTZ)) END"
    )
    return f"coalesce(try_strptime({text}, {literal(form)}), {iso})" if form else iso


def has_time(text: str, value: str, *, form: str | None) -> str:
    """BOOLEAN: is more than the day known? NULL without a value."""
    known = f"length({text}) > 10"
    if form:
        stated = str(states_time(form)).upper()
        known = f"CASE WHEN try_strptime({text}, {literal(form)}) IS NOT NULL THEN {stated} ELSE {known} END"
    return f"CASE WHEN {value} IS NOT NULL THEN {known} END"


def states_time(form: str) -> bool:
    """Does a strptime format hold an hour?"""
    return any(part in form for part in ("%H", "%I", "%-H", "%-I", "%c", "%X"))


def typed(column: Column, text: str, *, form: str | None, zone: str) -> str:
    """The cell as the column's type, NULL when it cannot be read; integers stay DECIMAL until they are judged."""
    if column.type == "date":
        return day(text, form=form)
    if column.type == "timestamp":
        return moment(text, form=form, zone=zone)
    if column.type in ("integer", "number"):
        return number(text)
    if column.type == "boolean":
        return f"CASE lower({text}) WHEN 'true' THEN TRUE WHEN 'false' THEN FALSE END"
    return text


def number(text: str) -> str:
    """DECIMAL(18, 4): four decimals are more than any measurement here has."""
    return f"TRY_CAST({text} AS DECIMAL(18, 4))"


UNREAD_CODES = {
    "date": "not_a_date",
    "timestamp": "not_a_time",
    "integer": "not_a_number",
    "number": "not_a_number",
    "boolean": "not_true_or_false",
}
