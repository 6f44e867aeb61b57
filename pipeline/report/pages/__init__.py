"""The pages of an audit. A new page is one module here and one folder under reports/ with its page.html and queries."""

import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from types import SimpleNamespace
from typing import Any

from pipeline.report.queries import Rows
from pipeline.tables import Table


@dataclass(frozen=True)
class Page:
    """One page of an audit.

    `name`: its folder under reports/ and its file. `position`: its place in lists. `title` and `answers`: what a list
    of pages says of it. `shape`: what its template needs beside the rows of its queries (pictures), made from them.
    `table`: from the same rows and the facts of the audit, what stands beside the page as CSV of the same name.
    """

    name: str
    position: int
    title: str
    answers: str
    shape: Callable[[Mapping[str, Rows]], dict[str, Any]]
    table: Callable[[Mapping[str, Rows], SimpleNamespace], Table] | None = None


def all_pages() -> tuple[Page, ...]:
    """Every page, in the order in which lists show them."""
    modules = sorted(module.name for module in pkgutil.iter_modules(__path__))
    found = (import_module(f"{__name__}.{module}").PAGE for module in modules)
    return tuple(sorted(found, key=lambda page: (page.position, page.name)))
