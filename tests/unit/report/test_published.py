"""Pages are published whole, never changed, and listed newest first."""

import json
from datetime import date
from hashlib import sha256
from pathlib import Path

import duckdb
import pytest

from pipeline import files
from pipeline.errors import CaseroundError, NoWarehouse
from pipeline.log import RunLog, no_progress
from pipeline.report import render
from pipeline.report.pages import all_pages
from pipeline.report.published import publish as publish_pages
from pipeline.settings import Workspace
from tests.unit.report import world

FOLDER = "audits/2026-03-02/20260302T060000Z"


def publish(root, rows):
    return render(world.write_world(root, rows), progress=no_progress, log=RunLog())


def tree(root):
    return {
        page.relative_to(root).as_posix(): page.read_bytes() for page in (root / "audits").rglob("*") if page.is_file()
    }


def test_the_same_warehouse_gives_the_same_bytes(tmp_path):
    publish(tmp_path / "one", world.ordinary_week())
    publish(tmp_path / "two", world.ordinary_week())
    assert tree(tmp_path / "one") == tree(tmp_path / "two")


def test_rendering_again_changes_nothing(tmp_path):
    publish(tmp_path, world.ordinary_week())
    before = {page: page.stat().st_mtime_ns for page in (tmp_path / FOLDER).iterdir()}
    publish(tmp_path, world.ordinary_week())
    assert {page: page.stat().st_mtime_ns for page in (tmp_path / FOLDER).iterdir()} == before
    assert [folder.name for folder in (tmp_path / FOLDER).parent.iterdir()] == ["20260302T060000Z"]


def test_another_content_takes_the_next_name_and_leaves_the_first(tmp_path):
    publish(tmp_path, world.ordinary_week())
    first = tree(tmp_path)[f"{FOLDER}/weekly_audit.html"]
    index = publish(tmp_path, world.quiet_week())
    publish(tmp_path, world.nobody())
    assert tree(tmp_path)[f"{FOLDER}/weekly_audit.html"] == first
    assert f"{FOLDER}-2/weekly_audit.html" in tree(tmp_path)
    listed = index.read_text("utf-8")
    order = [listed.index(f"2026-03-02/20260302T060000Z{version}/") for version in ("-3", "-2", "")]
    assert order == sorted(order)


def test_the_manifest_sums_every_page(tmp_path):
    publish(tmp_path, world.ordinary_week())
    manifest = json.loads((tmp_path / FOLDER / "manifest.json").read_text("utf-8"))
    folder = tmp_path / FOLDER
    there = [page for page in folder.rglob("*") if page.is_file() and page.name != "manifest.json"]
    pages = {page.relative_to(folder).as_posix(): sha256(page.read_bytes()).hexdigest() for page in there}
    assert manifest["pages"] == pages
    sheets = {f"clients/{client}.html" for client, *_ in world.PEOPLE}
    assert set(pages) == {"index.html", "worklist.csv", *(f"{page.name}.html" for page in all_pages()), *sheets}
    assert (manifest["as_of"], manifest["known_at"]) == ("2026-03-02", "2026-03-02T06:00:00Z")


def test_the_list_has_every_audit_newest_first_with_links_that_lead_somewhere(tmp_path):
    earlier = world.ordinary_week()
    earlier["review.parameters"][0].update(as_of=date(2026, 2, 23), known_at=world.at(2, 23, 6))
    publish(tmp_path, world.ordinary_week())
    index = publish(tmp_path, earlier)
    listed = index.read_text("utf-8")
    assert listed.index("Monday 2 March 2026") < listed.index("Monday 23 February 2026")
    links = [part.partition('"')[0] for part in listed.split('href="')[1:]]
    folders = ("2026-03-02/20260302T060000Z", "2026-02-23/20260223T060000Z")
    wanted = [f"{folder}/{page.name}.html" for folder in folders for page in all_pages()]
    assert [link for link in links if not link.startswith("#")] == wanted
    assert all((index.parent / link).is_file() for link in links if not link.startswith("#"))


def test_without_a_warehouse_nothing_is_written(tmp_path):
    with pytest.raises(NoWarehouse):
        render(Workspace(root=tmp_path), progress=no_progress, log=RunLog())
    assert list(tmp_path.iterdir()) == []


def test_a_warehouse_that_lacks_a_relation_publishes_nothing(tmp_path):
    workspace = world.write_world(tmp_path, world.ordinary_week())
    with duckdb.connect(str(workspace.warehouse)) as con:
        con.execute("DROP TABLE audit.caseload")
    with pytest.raises(CaseroundError, match=r"lacks what weekly_audit/caseload\.sql reads"):
        render(workspace, progress=no_progress, log=RunLog())
    assert not workspace.audits.exists()


def test_killed_between_any_two_steps_no_half_audit_has_a_public_name(tmp_path, monkeypatch):
    """Whatever stands under a public name is whole, at every step; a later run finishes the work."""
    folder = Path("2026-03-02/20260302T060000Z")
    pages = {"index.html": b"contents", "weekly_audit.html": b"audit"}

    def put(audits):
        return publish_pages(audits, folder, pages=pages, facts={"as_of": "2026-03-02"})

    steps = []
    monkeypatch.setattr(files, "on_call", lambda name, when: steps.append(name))
    whole = contents(put(tmp_path / "counted"))
    for stop in range(len(steps)):
        left = iter(range(stop))

        def kill(name, when, left=left):
            if next(left, None) is None:
                raise KeyboardInterrupt

        monkeypatch.setattr(files, "on_call", kill)
        audits = tmp_path / f"killed-{stop}"
        with pytest.raises(KeyboardInterrupt):
            put(audits)
        assert contents(audits / folder) in ({}, whole)
        monkeypatch.setattr(files, "on_call", None)
        assert contents(put(audits)) == whole
        assert [there.name for there in (audits / folder).parent.iterdir()] == [folder.name]


def contents(folder):
    return {page.name: page.read_bytes() for page in folder.iterdir()} if folder.exists() else {}
