"""How a fact is written on a page: words, dates, thousands. Nothing here computes a figure; SQL has done that."""

import re
from collections.abc import Callable, Mapping
from datetime import date, datetime
from decimal import Decimal

import duckdb
from markupsafe import Markup, escape

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
NOT_RECORDED = "not recorded"
NO_DATA = "No data"
TRUTHS = {"true": "yes", "false": "no"}

Labels = Mapping[tuple[str, str], str]


def labels_of(connection: duckdb.DuckDBPyConnection) -> Labels:
    """The policy's words for every kind and code."""
    rows = connection.execute("SELECT kind, code, label FROM policy.labels ORDER BY kind, code").fetchall()
    return {(kind, code): label for kind, code, label in rows}


def number(value: int | Decimal | None) -> str:
    """A whole or decimal number with commas above 999; an absent one reads "No data", never an empty cell."""
    return NO_DATA if value is None else f"{value:,}"


def plain(value: Decimal | None) -> str:
    """A measurement without the zeros that only fill its column: 12.6, not 12.6000."""
    return NO_DATA if value is None else number(value.normalize() + 0)


def counted(value: int | None, one: str, many: str) -> str:
    """A number with its noun: "1 person", "9 people"; an absent one reads "No data on people"."""
    if value is None:
        return f"{NO_DATA} on {many}"
    return f"{number(value)} {one if value == 1 else many}"


def day(value: date | None) -> str:
    """2 March 2026. Written by hand because strftime follows the machine's language."""
    return NOT_RECORDED if value is None else f"{value.day} {MONTHS[value.month - 1]} {value.year}"


def dated(text: str | None) -> str | None:
    """The text with each day in it that is written 2026-03-02 written out."""
    return text and re.sub(r"\b\d{4}-\d\d-\d\d\b", lambda found: day(date.fromisoformat(found[0])), text)


def month(value: date | None) -> str:
    """March 2026, of any day in it."""
    return NOT_RECORDED if value is None else f"{MONTHS[value.month - 1]} {value.year}"


def weekday(value: date) -> str:
    """Monday 2 March 2026."""
    return f"{WEEKDAYS[value.weekday()]} {day(value)}"


def short_day(value: date | None, near: date) -> str:
    """2 March, or with its year where that is not the year of `near`, the day that the page is about."""
    if value is None:
        return NOT_RECORDED
    return f"{value.day} {MONTHS[value.month - 1]}" if value.year == near.year else day(value)


def moment(value: datetime | None) -> str:
    """Monday 2 March 2026 at 06:00, of a naive local time."""
    return NOT_RECORDED if value is None else f"{weekday(value.date())} at {value:%H:%M}"


def said(value: object) -> str:
    """The value as it is, or "not recorded"."""
    return NOT_RECORDED if value is None or value == "" else str(value)


def sentence(text: str | None) -> str:
    """The text with one full stop at its end and a capital at its start."""
    words = _capital(said(text).strip())
    return words if words.endswith((".", "!", "?")) else f"{words}."


def _capital(text: str) -> str:
    """The text with a capital first and the rest as it is: `str.capitalize` would make "Icd-10" of "ICD-10"."""
    return text[:1].upper() + text[1:]


def coded(text: str) -> Markup:
    """The text with names of columns and relations marked as what one types; for the analyst's page alone."""
    return Markup(re.sub(r"(?:[a-z]+\.)?[a-z]+(?:_[a-z0-9]+)+", r"<code>\g<0></code>", str(escape(text))))


def words_for(labels: Labels) -> Callable[[str | None, str], str]:
    """A filter that turns a code into the policy's words for it.

    A code without words is shown with spaces for underscores: a page must not fail because a label is late, and the
    policy's own test names the codes that lack one.
    """

    def words(code: str | None, kind: str) -> str:
        if code is None or code == "":
            return NOT_RECORDED
        return labels.get((kind, code), code.replace("_", " "))

    return words


def columns_for(labels: Labels) -> Callable[[str | None], str]:
    """A filter that turns names of columns joined by ; into words."""
    words = words_for(labels)

    def columns(names: str | None) -> str:
        return "; ".join(words(name.strip(), "column") for name in (names or "").split(";") if name.strip())

    return columns


def facts_for(labels: Labels) -> Callable[[str | None], str]:
    """A filter that turns a finding's evidence (`column = value; ...`) into words: "Bed or seat: bed; Powered: no".

    Columns without a value are left out: what is not known has a place of its own beside the evidence. So is a value
    that the policy calls unsaid, because the finding would not be there without it.
    """

    def facts(evidence: str | None) -> str:
        parts = (part.partition(" = ") for part in (evidence or "").split("; "))
        pairs = [(column.strip(), value.strip()) for column, _, value in parts]
        told = [_fact(labels, *pair) for pair in pairs if pair[1] and labels.get(("unsaid", pair[0])) != pair[1]]
        # "Flap surgery: yes" says nothing beside "Flap surgery: 21 days ago".
        when = {fact.rpartition(":")[0] for fact in told if fact.endswith(" ago")}
        return "; ".join(fact for fact in told if not (fact.endswith(": yes") and fact.removesuffix(": yes") in when))

    return facts


def _fact(labels: Labels, column: str, value: str) -> str:
    label = words_for(labels)(column, "column")
    if column.startswith("days_since_") and value.isdigit():
        # The label may name what happened or the days since; both read well as "Last service: 390 days ago".
        return f"{_capital(label.removeprefix('Days since '))}: {counted(int(value), 'day', 'days')} ago"
    return f"{_capital(label)}: {_plain(labels, column, value)}"


def _plain(labels: Labels, column: str, value: str) -> str:
    """One value as it stands in evidence, which is text: a day, a decimal, a truth, a code or a name.

    A number that the policy has words for is a place on a ladder, and its number says nothing to a reader.
    """
    if (column, value) in labels:
        return labels[column, value]
    if value in TRUTHS:
        return TRUTHS[value]
    if re.fullmatch(r"\d{4}-\d\d-\d\d", value):
        return day(date.fromisoformat(value))
    if re.fullmatch(r"-?\d+(\.\d+)?", value):
        return plain(Decimal(value))
    return words_for(labels)(value, column)
