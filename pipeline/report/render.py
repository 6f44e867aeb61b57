"""Renders every page of the published warehouse's audit, and then the list of all audits."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import duckdb
from jinja2 import Environment

from pipeline import files, instants, resources, warehouse
from pipeline.log import Progress, RunLog
from pipeline.report.filters import labels_of
from pipeline.report.pages import Page, all_pages
from pipeline.report.people import client_pages, sheets
from pipeline.report.published import Pages, publish, published_audits
from pipeline.report.queries import read_all
from pipeline.report.templates import environment
from pipeline.settings import Workspace
from pipeline.tables import as_text


@dataclass(frozen=True)
class Audit:
    """Which audit the warehouse holds: the one row of review.parameters, with the known-at as an aware instant."""

    facts: SimpleNamespace
    folder: Path


def render(workspace: Workspace, *, progress: Progress, log: RunLog, clients: tuple[str, ...] = ()) -> Path:
    """Write the audit of the published warehouse below audits/, then audits/index.html, and return the latter.

    `clients`: people who get a sheet of their own even where there are more than `client_pages_max` before them.
    The same warehouse gives the same bytes: no page holds the time of its making. Raises NoWarehouse when there is no
    warehouse yet, and WarehouseUnfit when it lacks what a page shows; in both cases nothing is written.
    """
    with warehouse.reading(workspace.warehouse) as connection:
        shared = read_all(connection, resources.reports_dir() / "parts")
        audit = _audit(shared["parameters"][0])
        templates = environment(resources.reports_dir(), labels=labels_of(connection))
        chosen = sheets(connection, most=workspace.client_pages_max, also=clients)
        told = {**shared, "audit": audit.facts, "sheets": chosen}
        pages = _pages(connection, templates, shared=told, progress=progress)
        pages |= client_pages(connection, templates, shared=told, progress=progress)
    folder = publish(workspace.audits, audit.folder, pages=pages, facts=_facts(audit.facts, shared["headline"][0]))
    log.event("audit_published", folder=folder.relative_to(workspace.root).as_posix(), pages=len(pages))
    return _list_audits(workspace, templates)


def _audit(parameters: SimpleNamespace) -> Audit:
    known_at = parameters.known_at.replace(tzinfo=UTC)
    parameters.known_locally = instants.local(known_at, parameters.time_zone)
    return Audit(parameters, Path(parameters.as_of.isoformat()) / instants.compact(known_at))


def _pages(
    connection: duckdb.DuckDBPyConnection, templates: Environment, *, shared: dict[str, Any], progress: Progress
) -> Pages:
    listed = all_pages()
    pages: Pages = {}
    for done, page in enumerate(listed, start=1):
        pages |= _page(connection, templates, page=page, shared=shared)
        progress("pages", done, len(listed))
    # Last, so that the folder's own contents page can only name pages that were made.
    contents = templates.get_template("contents/page.html").render(shared, listed=listed)
    return {"index.html": contents.encode(), **pages}


def _page(
    connection: duckdb.DuckDBPyConnection, templates: Environment, *, page: Page, shared: dict[str, Any]
) -> Pages:
    """The page, and the table beside it where it has one: both from the same rows, so they cannot disagree."""
    rows = read_all(connection, resources.reports_dir() / page.name)
    template = templates.get_template(f"{page.name}/page.html")
    made = {f"{page.name}.html": template.render(shared, **rows, **page.shape(rows), page=page).encode()}
    if page.table is not None:
        made[f"{page.name}.csv"] = as_text(page.table(rows, shared["audit"]), form="csv").encode()
    return made


def _facts(audit: SimpleNamespace, headline: SimpleNamespace) -> dict[str, Any]:
    return {
        "as_of": audit.as_of.isoformat(),
        "known_at": instants.iso(audit.known_at.replace(tzinfo=UTC)),
        "known_locally": audit.known_locally.isoformat(sep=" ", timespec="minutes"),
        "policy_fingerprint": audit.policy_fingerprint,
        "store_fingerprint": audit.store_fingerprint,
        "software_version": audit.software_version,
        "people": headline.people,
        "urgent_people": headline.urgent_people,
    }


def _list_audits(workspace: Workspace, templates: Environment) -> Path:
    listed = {f"{page.name}.html": page for page in all_pages()}
    audits = [
        {
            **facts,
            "as_of": date.fromisoformat(facts["as_of"]),
            "known_locally": datetime.fromisoformat(facts["known_locally"]),
            "links": [(name, page.title) for name, page in listed.items() if name in facts["pages"]],
        }
        for facts in published_audits(workspace.audits)
    ]
    content = templates.get_template("index/page.html").render(audits=audits)
    index = workspace.audits / "index.html"
    files.write_atomically(index, content.encode())
    return index
