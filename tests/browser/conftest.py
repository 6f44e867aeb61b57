"""One browser for all pages, and a way to have a page made of invented rows."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pipeline.log import RunLog, no_progress
from pipeline.report import render
from tests.browser.browser import Browser, find_program
from tests.unit.report import world


@pytest.fixture(scope="session")
def browser(tmp_path_factory) -> Browser:
    """A browser whose pictures and profiles lie in a folder of this run."""
    program = find_program()
    assert program, "no browser found, so nobody looked at the pages"
    return Browser(program=program, scratch=tmp_path_factory.mktemp("browser"))


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> Callable[[dict, str], Path]:
    """Rows of a warehouse and the name of a page to the file of that page."""

    def made_of(rows: dict, name: str) -> Path:
        workspace = world.write_world(tmp_path_factory.mktemp("audit"), rows)
        index = render(workspace, progress=no_progress, log=RunLog())
        return next(index.parent.glob(f"*/*/{name}.html"))

    return made_of
