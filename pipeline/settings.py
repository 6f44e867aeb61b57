"""The workspace: one folder with its exports, its store, its warehouse, its pages and its caseround.toml."""

import re
import tomllib
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from pipeline import files, settings_text
from pipeline.errors import SettingsUnsound

FILE_NAME = "caseround.toml"
DELIVERS = ("changes", "snapshot")


@dataclass(frozen=True)
class Source:
    """How one record system's export reads as one of our feeds.

    `match`: glob on the path below inbox/ or on the file name. `columns`: {their heading: our column}. `codes`:
    {our column: {their code: our code}}. `date_format`: a strptime format, or None for ISO 8601. `delivers`: "snapshot"
    means that a record which is absent from a newer file has ended. `updated_at`: "file name, %Y%m%d" takes the time of
    change from the file's name. `ignore`: headings that may stay unmapped although they hold several words.
    """

    name: str
    match: str
    feed: str
    delivers: str = "changes"
    updated_at: str | None = None
    columns: dict[str, str] = field(default_factory=dict)
    codes: dict[str, dict[str, str]] = field(default_factory=dict)
    date_format: str | None = None
    ignore: tuple[str, ...] = ()

    def fits(self, relative_path: str) -> bool:
        """Is a file, named by its path below inbox/ with forward slashes, one of this source's?"""
        return fnmatchcase(relative_path, self.match) or fnmatchcase(relative_path.rsplit("/", 1)[-1], self.match)


@dataclass(frozen=True)
class Workspace:
    """Where everything lies, and what this service decided about its exports.

    Days are calendar days; `held_share_max` is a share from 0 to 1; only feeds in `expected_days` can be late.
    """

    root: Path
    time_zone: str = "UTC"
    sources: tuple[Source, ...] = ()
    expected_days: dict[str, int] = field(default_factory=dict)
    held_share_max: float = 0.2
    held_for_days: int = 90
    audit_every_days: int = 7
    client_pages_max: int = 2000

    @property
    def inbox(self) -> Path:
        return self.root / "inbox"

    @property
    def store(self) -> Path:
        return self.root / "store"

    @property
    def warehouse(self) -> Path:
        return self.root / "warehouse.duckdb"

    @property
    def audits(self) -> Path:
        return self.root / "audits"

    @property
    def logs(self) -> Path:
        return self.root / "logs"

    @property
    def policy(self) -> Path:
        return self.root / "policy"

    @property
    def last_run(self) -> Path:
        return self.root / "last_run.json"

    @property
    def lock(self) -> Path:
        return self.root / ".lock"


def load_workspace(root: Path) -> Workspace:
    """The workspace in a folder.

    A folder with inbox/ but no caseround.toml gets the defaults. Raises SettingsUnsound when the folder has neither,
    or when the file says something that cannot be meant; nothing is written before that is known.
    """
    path = root / FILE_NAME
    if not path.is_file():
        if (root / "inbox").is_dir():
            return Workspace(root=root)
        raise SettingsUnsound(
            what=f"{root} is not a workspace: it has neither {FILE_NAME} nor inbox/.",
            done="Nothing was read or written.",
            todo=f"Make one with `caseround init {root}`, or name another with --workspace.",
        )
    try:
        said = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        # The parser's message quotes at most one character and a line number, never a cell.
        raise _unsound(f"is not TOML: {error}") from None
    return _workspace(root, said)


def write_settings(root: Path) -> bool:
    """Put the commented caseround.toml into a folder; False, and no change, when one is there already."""
    path = root / FILE_NAME
    if path.exists():
        return False
    files.write_atomically(path, settings_text.COMMENTED.encode())
    return True


def _unsound(why: str) -> SettingsUnsound:
    return SettingsUnsound(
        what=f"{FILE_NAME} {why}.",
        done="Nothing was read or written.",
        todo=f"Mend {FILE_NAME} and run again; `caseround init` in an empty folder shows a sound one.",
    )


def _workspace(root: Path, said: dict[str, Any]) -> Workspace:
    said = dict(said)
    _only(said, {"time_zone", "source", "expected_days", *_NUMBERS}, where="at the top")
    zone = said.get("time_zone", "UTC")
    try:
        ZoneInfo(zone)
    except (KeyError, ValueError, OSError, TypeError):
        raise _unsound(f"names a time_zone that does not exist: {zone!r}") from None
    tables = said.get("source", [])
    if not isinstance(tables, list):
        raise _unsound("has [source] with single brackets; each source is a [[source]] block")
    sources = tuple(_source(table) for table in tables)
    names = [(source.name, source.feed, source.match) for source in sources]
    if len(set(names)) < len(names):
        raise _unsound("has two [[source]] blocks with the same name, feed and match")
    return Workspace(
        root=root,
        time_zone=zone,
        sources=sources,
        expected_days=_expected(said.get("expected_days", {})),
        **{name: _number(name, said[name]) for name in _NUMBERS if name in said},
    )


_NUMBERS = {
    "held_share_max": (float, 0, 1),
    "held_for_days": (int, 1, 3660),
    "audit_every_days": (int, 1, 366),
    "client_pages_max": (int, 0, 1_000_000),
}


def _number(name: str, said: object) -> float | int:
    kind, low, high = _NUMBERS[name]
    if isinstance(said, bool) or not isinstance(said, int | kind) or not low <= said <= high:
        raise _unsound(f"says {name} = {said!r}; it must be a number from {low} to {high}")
    return kind(said)


def _expected(said: object) -> dict[str, int]:
    if not isinstance(said, dict):
        raise _unsound("has expected_days that is not a table of feed = days")
    for feed, days in said.items():
        _known_feed(feed, where="[expected_days]")
        if isinstance(days, bool) or not isinstance(days, int) or not 1 <= days <= 366:
            raise _unsound(f"says expected_days.{feed} = {days!r}; it must be a whole number of days from 1 to 366")
    return dict(sorted(said.items()))


def _source(said: object) -> Source:
    if not isinstance(said, dict):
        raise _unsound("has a source that is not a table")
    where = f"in the source {said.get('name', 'without a name')!r}"
    allowed = {"name", "match", "feed", "delivers", "updated_at", "columns", "codes", "date_format", "ignore"}
    _only(said, allowed, where=where)
    for name in ("name", "match", "feed"):
        if not isinstance(said.get(name), str) or not said[name]:
            raise _unsound(f"lacks {name} {where}")
    _known_feed(said["feed"], where=where)
    if said.get("delivers", "changes") not in DELIVERS:
        raise _unsound(f"says delivers = {said['delivers']!r} {where}; it is one of {', '.join(DELIVERS)}")
    if not (said.get("updated_at") is None or _tells_a_day_in_a_name(said["updated_at"])):
        raise _unsound(
            f'has an updated_at {where} that is not of the form "file name, %Y%m%d": year, month and day once each, '
            "and %H, %M, %S if there are any"
        )
    if not (said.get("date_format") is None or _tells_a_day(said["date_format"])):
        raise _unsound(
            f"says date_format = {said['date_format']!r} {where}, from which no day can be told; it needs a year, "
            'a month and a day with a percent sign before each, like "%d/%m/%Y" or "%d/%m/%Y %H:%M"'
        )
    columns, codes = said.get("columns", {}), said.get("codes", {})
    if not _texts(columns) or not isinstance(codes, dict) or not all(_texts(table) for table in codes.values()):
        raise _unsound(f"has columns or codes {where} that do not map text to text")
    _known_columns(said["feed"], [*columns.values(), *codes], where=where)
    if len(set(columns.values())) < len(columns):
        raise _unsound(f"maps two headings to one column {where}")
    ignore = said.get("ignore", [])
    if not isinstance(ignore, list) or not all(isinstance(heading, str) for heading in ignore):
        raise _unsound(f"has an ignore {where} that is not a list of headings")
    return Source(**{**said, "ignore": tuple(ignore)})


def _tells_a_day(form: object) -> bool:
    """Does a day that is written in this form come back as the same day?

    The engine that reads the cells is asked, for it alone knows which signs it knows; a form without a year, or one
    without percent signs, it takes without complaint and then reads no cell or the wrong day.
    """
    import duckdb

    if not isinstance(form, str):
        return False
    try:
        [(comes_back,)] = duckdb.execute(
            "SELECT bool_and(coalesce(CAST(try_strptime(strftime(d, $form), $form) AS DATE) = CAST(d AS DATE), FALSE)) "
            "FROM (VALUES (TIMESTAMP '2026-03-14 15:09:26'), (TIMESTAMP '1987-11-30 00:00:00')) AS days(d)",
            {"form": form},
        ).fetchall()
    except duckdb.Error:
        return False
    return comes_back


def _tells_a_day_in_a_name(said: object) -> bool:
    place, _, form = str(said).partition(",")
    parts = re.findall(r"%.?", form.strip())
    day = {"%m", "%d", "%y" if "%y" in parts else "%Y"}
    return place == "file name" and len(set(parts)) == len(parts) and day <= set(parts) <= day | {"%H", "%M", "%S"}


def _texts(said: object) -> bool:
    return isinstance(said, dict) and all(isinstance(text, str) for text in said.values())


def _only(said: dict[str, Any], allowed: set[str], *, where: str) -> None:
    strange = sorted(set(said) - allowed)
    if strange:
        raise _unsound(f"has {', '.join(strange)} {where}, which means nothing here")


def _known_feed(feed: str, *, where: str) -> None:
    from pipeline.feeds.columns import FEEDS

    if feed not in FEEDS:
        raise _unsound(f"names the feed {feed!r} {where}; there are {', '.join(FEEDS)}")


def _known_columns(feed: str, columns: list[str], *, where: str) -> None:
    from pipeline.feeds.columns import FEEDS

    known = {column.name for column in FEEDS[feed].columns}
    # A scale's items are columns too, and only the policy knows them.
    strange = [] if any(name.startswith("<") for name in known) else sorted(set(columns) - known)
    if strange:
        raise _unsound(f"maps to {', '.join(strange)} {where}; the feed {feed} has no such column")
