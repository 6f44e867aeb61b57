"""The sheet of one person: who gets one, under which name, and what it says of whom all or nothing is known."""

import pytest

from pipeline.errors import NobodyOfThatId
from pipeline.log import RunLog, no_progress
from pipeline.report import render
from pipeline.settings import Workspace
from tests.unit.report import world
from tests.unit.report.page_faults import faults_of


def sheets_of(root, rows, *, most=2000, clients=()):
    world.write_world(root, rows)
    workspace = Workspace(root=root, client_pages_max=most)
    index = render(workspace, progress=no_progress, log=RunLog(), clients=clients)
    return {page.name: page.read_text("utf-8") for page in sorted(index.parent.glob("*/*/clients/*.html"))}


def with_client(rows, client_id, **facts):
    rows["state.clients"].append({"client_id": client_id} | facts)
    return rows


@pytest.fixture(scope="module")
def sheet(tmp_path_factory):
    return sheets_of(tmp_path_factory.mktemp("sheets"), world.ordinary_week())["C-0417.html"]


def test_who_is_known_by_name_alone_gets_none(tmp_path):
    found = sheets_of(tmp_path, with_client(world.ordinary_week(), "C-0900"))
    assert sorted(found) == [f"{name}.html" for name in sorted(person[0] for person in world.PEOPLE)]


def test_the_first_of_the_list_come_first_and_others_when_they_are_named(tmp_path):
    rows = with_client(world.ordinary_week(), "C-0900")
    found = sheets_of(tmp_path, rows, most=1, clients=("C-0900",))
    assert sorted(found) == ["C-0417.html", "C-0900.html"]
    # Somebody of whom nothing is recorded has a sound sheet, and nothing on it reads as safe.
    assert faults_of(found["C-0900.html"]) == []
    assert "No risk score was ever recorded." in found["C-0900.html"]
    assert "No surface is recorded, which is not the same as an ordinary mattress." in found["C-0900.html"]


def test_two_ids_that_differ_in_capitals_alone_have_names_of_their_own(tmp_path):
    rows = with_client(with_client(world.ordinary_week(), "Abc"), "aBC")
    names = sorted(sheets_of(tmp_path, rows, most=0, clients=("Abc", "aBC")))
    # The first sixteen digits of `printf Abc | sha256sum` and of `printf aBC | sha256sum`.
    assert names == sorted(["id-06d90109c8cce34e.html", "id-711f3321cca85147.html"])


def test_an_id_that_nobody_has_is_refused_and_nothing_is_written(tmp_path):
    with pytest.raises(NobodyOfThatId):
        sheets_of(tmp_path, world.ordinary_week(), clients=("C-9999",))
    assert not (tmp_path / "audits").exists()


@pytest.mark.parametrize(
    "words",
    [
        "C-0417: woman, 79 years", "Full-thickness or deep injury on a non-air surface.", "due 28 February",
        "differ: recorded 12, recomputed 10", "made for another age", "Sacrum: stage 4", "12.6 cm²", "PUSH",
        "First seen 30 January, arose on the caseload, opened again after it had closed.",
        "First stage 3, stage 4 since 21 February: deeper under our care. Looked at in 2 stays.",
        "1 June 2025, there when the stay began; open again since 30 January",
        "First seen 1 February, where it arose is not recorded, cause not settled.",
        "not recorded, so not known", "It has to be kept clear of every surface", "not where the person is now",
        "(a weak test)", "tried to 16 December 2025: not tolerated", "Their priorities</dt><dd>quiet.",
        "No plan for a power cut; heavy.", "fits with cautions", "does not fit", "Check first: smoking not recorded",
        "No class passes: senior or team decision; interim plan today.", "Power-cut plan", "heel protection",
        "turned every 4 h", "goals reviewed: 9 February 2026", "caseround explain C-0417",
        "cannot be judged. With care: its cover is damaged.",
        "Before one of the classes that stay open is chosen: smoking; a naked flame.",
        "A row of this person is held back (looks at wounds, surfaces on loan).",
        "Offloading</dt><dd>Heel, left: rests on the bed.", "Device</dt><dd>Heel, left: the device has to be moved.",
        "Sources disagree</dt><dd>Bed, static air mattress; Seat, static air mattress: practice calls air unsteady",
    ],
)  # fmt: skip
def test_the_sheet_says_what_is_known(sheet, words):
    assert words in sheet.replace("<strong>", "").replace("</strong>", "")


def test_wishes_that_are_for_everybody_are_not_the_persons_own(sheet):
    assert "least costly." not in sheet.partition("Their priorities")[2].partition("</dd>")[0]


def test_lists_lead_to_the_sheets(tmp_path):
    world.write_world(tmp_path, world.ordinary_week())
    index = render(Workspace(root=tmp_path), progress=no_progress, log=RunLog())
    for name in ("worklist", "weekly_audit"):
        page = next(index.parent.glob(f"*/*/{name}.html")).read_text("utf-8")
        assert 'href="clients/C-0417.html"' in page


def test_the_handover_strip_names_the_urgent_flags_that_stand(sheet, tmp_path):
    def strip(page):
        return page.partition('aria-labelledby="handover"')[2].partition("</section>")[0]

    assert "<strong>Urgent:</strong> Full-thickness or deep injury on a non-air surface" in strip(sheet)
    rows = world.ordinary_week()
    for finding in rows["audit.findings"]:
        finding["status"] = "accepted"
    assert "Urgent:" not in strip(sheets_of(tmp_path, rows)["C-0417.html"])


def test_where_the_seat_is_not_asked_about_no_disagreement_is_told_of_it(tmp_path):
    rows = world.ordinary_week()
    for verdict in rows["fit.provision"]:
        if verdict["position"] == "sitting":
            verdict["is_asked"] = False
    assert "Bed, static air mattress: practice calls air unsteady" in sheets_of(tmp_path, rows)["C-0417.html"]
