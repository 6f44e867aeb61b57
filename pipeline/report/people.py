"""The sheet of one person: for each with an open finding or something unknown, one page under clients/."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Mapping
from types import SimpleNamespace
from typing import Any

import duckdb
from jinja2 import Environment

from pipeline import resources
from pipeline.errors import NobodyOfThatId
from pipeline.log import Progress
from pipeline.report.published import Pages
from pipeline.report.queries import Rows, read_all, read_rows

FOLDER = "clients"
# Every query reads many people at once; more in one go would only need more memory.
AT_ONCE = 500


def sheets(connection: duckdb.DuckDBPyConnection, *, most: int, also: Iterable[str]) -> dict[str, str]:
    """{client_id: file below the audit} of the people who get a sheet, in the order of the worklist.

    The first `most` with an open finding or something unknown, and those of `also`, whoever they are. Raises
    NobodyOfThatId for one of `also` who is not on the caseload.
    """
    listed = read_rows(connection, resources.reports_dir() / "person" / "wanted" / "people.sql")
    asked = set(also)
    if asked - {one.client_id for one in listed}:
        raise NobodyOfThatId(
            what="Nobody with that id is on the caseload of the published audit.",
            done="Nothing was written.",
            todo="Compare the spelling with a page, capitals included.",
        )
    first = {one.client_id for one in [one for one in listed if one.has_page][:most]}
    return {one.client_id: f"{FOLDER}/{_name(one)}.html" for one in listed if one.client_id in first | asked}


def _name(one: SimpleNamespace) -> str:
    # Some disks hold A.html and a.html for one file.
    return f"id-{hashlib.sha256(one.client_id.encode()).hexdigest()[:16]}" if one.is_alike else one.client_id


def client_pages(
    connection: duckdb.DuckDBPyConnection, templates: Environment, *, shared: Mapping[str, Any], progress: Progress
) -> Pages:
    """The page of everybody in shared["sheets"], by its file."""
    files: dict[str, str] = shared["sheets"]
    template = templates.get_template("person/page.html")
    pages: Pages = {}
    people = list(files)
    for start in range(0, len(people), AT_ONCE):
        for who in _read(connection, people[start : start + AT_ONCE]):
            pages[files[who.person.client_id]] = template.render(shared, who=who).encode()
            progress("people", len(pages), len(people))
    return pages


def _read(connection: duckdb.DuckDBPyConnection, people: list[str]) -> list[SimpleNamespace]:
    rows = read_all(connection, resources.reports_dir() / "person", asked={"people": people})
    parts = {name: _by_client(found) for name, found in rows.items() if name != "people"}
    return [_one(person, {name: found[person.client_id] for name, found in parts.items()}) for person in rows["people"]]


def _by_client(rows: Rows) -> dict[str, list[SimpleNamespace]]:
    grouped: dict[str, list[SimpleNamespace]] = defaultdict(list)
    for row in rows:
        grouped[row.client_id].append(row)
    return grouped


def _one(person: SimpleNamespace, parts: dict[str, list[SimpleNamespace]]) -> SimpleNamespace:
    open_now = {told.injury_id: told for told in parts["episodes"] if told.healed_on is None}
    for wound in parts["wounds"]:
        wound.looks = [look for look in parts["looks"] if look.injury_id == wound.injury_id]
        wound.course = open_now.get(wound.injury_id)
    seat_is_asked = any(need.is_asked for need in parts["needs"] if need.position == "sitting")
    form = parts.pop("form")
    return SimpleNamespace(person=person, **parts, form=form[0] if form else None, seat_is_asked=seat_is_asked)
