"""The comment block at the top of each SQL file, read as data.

The header says what a relation answers, what one row is, what it reads and what each column means. Tests hold it to
the SQL below it, the database gets it as comments, and the rule grammar takes its column types from it.
"""

import re
from dataclasses import dataclass

from pipeline.feeds.columns import FEEDS

SQL_TYPES = {
    "id": "VARCHAR",
    "text": "VARCHAR",
    "code": "VARCHAR",
    "codes": "VARCHAR",
    "boolean": "BOOLEAN",
    "integer": "INTEGER",
    "number": "DECIMAL(18,4)",
    "date": "DATE",
    "timestamp": "TIMESTAMP",
}
COLUMN_TYPES = (*SQL_TYPES, "list")
FIELDS = ("question", "grain", "key", "inputs", "beware", "stored", "columns")

_FIELD = re.compile(rf"^-- ({'|'.join(FIELDS)}):\s*(.*)$")
_COLUMN = re.compile(r"^--   (\S.*)$")
_CONTINUED = re.compile(r"^--\s{4,}(\S.*)$")


@dataclass(frozen=True)
class HeaderColumn:
    """One documented column; `codes` is empty unless the type is `code` or `codes` with a closed list."""

    name: str
    type: str
    codes: tuple[str, ...]
    meaning: str

    @property
    def sql_type(self) -> str:
        """The DuckDB type of the column; a list says so itself in the database, so it has none here."""
        return SQL_TYPES[self.type]


@dataclass(frozen=True)
class Header:
    """The header of one relation; `columns` stand in the order of the final SELECT."""

    question: str
    grain: str
    key: tuple[str, ...]
    inputs: tuple[str, ...]
    beware: str
    columns: tuple[HeaderColumn, ...]
    stored: str = "table"
    # Written `loan_id?` in the key: a part that may be blank, as for a rule that speaks about no loan.
    blank_in_key: tuple[str, ...] = ()

    def column(self, name: str) -> HeaderColumn:
        """The column of that name; KeyError when the header does not list it."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)


def parse_header(text: str) -> Header:
    """Read the comment lines at the top of an SQL file; ValueError names the line that cannot be read."""
    fields: dict[str, str] = {}
    columns: list[str] = []
    current = ""
    for line in _comment_lines(text):
        if field := _FIELD.match(line):
            current = field[1]
            fields[current] = field[2].strip()
        elif current == "columns" and (column := _COLUMN.match(line)):
            columns.append(column[1].rstrip())
        elif continued := _CONTINUED.match(line):
            if current == "columns":
                columns[-1] += " " + continued[1].rstrip()
            else:
                fields[current] = f"{fields.get(current, '')} {continued[1].rstrip()}".strip()
        else:
            raise ValueError(f"a header line that belongs to no field: {line!r}")
    return Header(
        question=fields.get("question", ""),
        grain=fields.get("grain", ""),
        key=tuple(name.rstrip("?") for name in _names(fields.get("key", ""))),
        inputs=_names(fields.get("inputs", "")),
        beware=fields.get("beware", ""),
        columns=tuple(_parse_column(line) for line in columns),
        stored=fields.get("stored", "table") or "table",
        blank_in_key=tuple(name.rstrip("?") for name in _names(fields.get("key", "")) if name.endswith("?")),
    )


def without_header(text: str) -> str:
    """The SELECT below the header, without a trailing semicolon."""
    lines = text.splitlines()
    count = len(_comment_lines(text))
    return "\n".join(lines[count:]).strip().rstrip(";").strip()


def _comment_lines(text: str) -> list[str]:
    # The header ends at the first line that is no comment, or at a sentence below the columns: that explains the SQL.
    lines: list[str] = []
    in_columns = False
    for line in text.splitlines():
        known = _FIELD.match(line) or _COLUMN.match(line) or _CONTINUED.match(line)
        if not line.startswith("--") or (in_columns and not known):
            break
        in_columns = in_columns or line.startswith("-- columns:")
        lines.append(line)
    return lines


def _names(text: str) -> tuple[str, ...]:
    return tuple(name.strip() for name in text.split(",") if name.strip())


def _parse_column(line: str) -> HeaderColumn:
    name, _, rest = line.partition(" ")
    declared, _, meaning = re.sub(r"\s{2,}", "\n", rest.strip(), count=1).partition("\n")
    if not meaning:
        raise ValueError(f"a column line needs name, type and meaning, two spaces apart: {line!r}")
    kind, _, codes = declared.partition(" ")
    if kind not in COLUMN_TYPES:
        raise ValueError(f"column {name} has the unknown type {kind!r}")
    return HeaderColumn(name=name, type=kind, codes=_codes(codes.strip()), meaning=meaning)


def _codes(text: str) -> tuple[str, ...]:
    if not text:
        return ()
    if "|" not in text and "." in text:
        return _feed_codes(text)
    return tuple(code.strip() for code in text.split("|"))


def _feed_codes(text: str) -> tuple[str, ...]:
    # Codes of a feed stand in the feed table alone, so that a new code reaches the rule grammar by itself.
    feed, _, name = text.partition(".")
    for column in FEEDS[feed].columns if feed in FEEDS else ():
        if column.name == name:
            return tuple(column.codes)
    raise ValueError(f"no feed column is called {text}")
