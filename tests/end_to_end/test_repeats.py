"""The same exports give the same audit: run twice, in another order, or split over other files."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from pipeline import warehouse
from tests.contract.conftest import Desk, braden, client, injury, loan, placement

WEEK_1 = ("--received-at", "2026-01-05T06:00:00Z")
PEOPLE = [f"C-{number}" for number in range(1, 6)]
# These say which file and row a fact came with, so another split over files is another answer; no other relation is.
ABOUT_FILES = {
    "quality.files", "quality.held", "records.receipts", "records.repeated", "records.set_aside", "review.steps",
}  # fmt: skip


def caseround(desk: Desk, *words: str, expect: int = 0) -> str:
    """What it said, as a process of its own: DuckDB hands one process the old file while a connection to it is open."""
    line = [sys.executable, "-c", "from pipeline.cli import main; main()", *words, "--workspace", str(desk.root)]
    ran = subprocess.run(line, capture_output=True, text=True, check=False)
    assert ran.returncode == expect, ran.stderr
    return ran.stdout + ran.stderr


def rows() -> dict[str, list[dict]]:
    """A few people, one of them never assessed, one loan unreturned, one row that cannot be read."""
    assessments = [braden(f"A-{n}", person, recorded_total=16) for n, person in enumerate(PEOPLE[:-1])]
    return {
        "clients": [client(person) for person in PEOPLE] + [client("C-9", age_years="seventy")],
        "placements": [placement(person) for person in PEOPLE],
        "assessments": [*assessments, braden("A-0", PEOPLE[0], updated_at="2026-01-04T08:00:00", recorded_total=17)],
        "injuries": [injury("O-1"), injury("O-2", "C-2", stage="stage_2")],
        "loans": [loan(f"L-{n}", person) for n, person in enumerate(PEOPLE[:3])],
    }


def sums(desk: Desk) -> dict[str, tuple[int, int]]:
    con = warehouse.open_readonly(desk.root / "warehouse.duckdb")
    try:
        return {name: (count, total) for name, count, total in warehouse.manifest(con)[1]}
    finally:
        con.close()


def pages(desk: Desk) -> dict[str, bytes]:
    found = sorted((desk.root / "audits").rglob("*.html"))
    return {path.relative_to(desk.root).as_posix(): path.read_bytes() for path in found}


@pytest.fixture(scope="module")
def published(tmp_path_factory) -> Path:
    """All exports in one file for each feed, run once. Only copies of it are changed."""
    desk = Desk(tmp_path_factory.mktemp("published") / "plain")
    for feed, records in rows().items():
        desk.drop(f"{feed}.csv", records)
    caseround(desk, "run", *WEEK_1)
    return desk.root


@pytest.fixture
def plain(published, tmp_path) -> Desk:
    """A copy of what was published, with its file times: a new time would be a new arrival."""
    return Desk(Path(shutil.copytree(published, tmp_path / "plain", copy_function=shutil.copy2)))


def test_a_second_run_changes_nothing(plain):
    before = sums(plain), pages(plain), plain.receipts()
    caseround(plain, "run", *WEEK_1)
    assert (sums(plain), pages(plain), plain.receipts()) == before
    assert len(list((plain.root / "store" / "arrivals").glob("*.json"))) == 5


def test_a_warehouse_that_was_deleted_comes_back_the_same(plain):
    before = sums(plain), pages(plain)
    (plain.root / "warehouse.duckdb").unlink()
    caseround(plain, "report", expect=15)
    caseround(plain, "review")
    caseround(plain, "report")
    assert (sums(plain), pages(plain)) == before


def test_the_order_of_rows_and_the_split_over_files_do_not_matter(plain, tmp_path):
    split = Desk(tmp_path / "split")
    for feed, records in rows().items():
        turned = records[::-1]
        split.drop(f"{feed}_z.csv", turned[:1])
        split.drop(f"{feed}/a.csv", turned[1:])
    caseround(split, "run", *WEEK_1)
    one, other = sums(plain), sums(split)
    assert {name: one[name] for name in one.keys() - ABOUT_FILES} == {
        name: other[name] for name in other.keys() - ABOUT_FILES
    }
    assert pages(plain) == pages(split)


def test_what_last_run_says(plain):
    said = json.loads((plain.root / "last_run.json").read_text())
    assert (said["command"], said["exit_code"]) == ("run", 0)
    assert {name: step["outcome"] for name, step in said["steps"].items()} == {
        "intake": "done", "review": "done", "report": "done",
    }  # fmt: skip
    assert all(step["seconds"] >= 0 for step in said["steps"].values())
    intake = said["steps"]["intake"]
    assert (intake["files"], intake["rows_read"], intake["held"]) == (5, 21, 1)
    assert said["steps"]["review"]["store_files"] == 5
    assert said["steps"]["review"]["store_read_seconds"] >= 0
    assert set(said["published"]) == {
        "warehouse_sha256", "index_sha256", "receipts_sha256", "arrivals_sha256", "refused_sha256",
    }  # fmt: skip


def test_the_log_holds_no_cell(plain):
    logged = "".join(path.read_text() for path in (plain.root / "logs").iterdir())
    assert "command_ended" in logged
    assert not [cell for cell in ("seventy", "C-1", "Saltbeck", "K12", "sacrum") if cell in logged]


@pytest.mark.parametrize(
    ("target", "named"),
    [
        ("audits/*/*/weekly_audit.html", "weekly_audit.html"),
        ("audits/index.html", "audits/index.html"),
        ("store/accepted/loans/*.parquet", "store/accepted/loans/"),
        ("store/held/clients/*.parquet", "store/held/clients/"),
        ("store/receipts/*.json", "store/receipts/"),
        ("warehouse.duckdb", "warehouse.duckdb"),
    ],
)
def test_verify_names_what_changed(plain, target, named):
    path = sorted(plain.root.glob(target))[0]
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(bytes(content))
    line = [sys.executable, "-c", "from pipeline.cli import main; main()", "verify", "--workspace", str(plain.root)]
    ran = subprocess.run(line, capture_output=True, text=True, check=False)
    assert ran.returncode == 17
    assert named in ran.stderr


def test_verify_is_content_with_what_was_published(plain):
    said = caseround(plain, "verify")
    with warehouse.reading(plain.root / "warehouse.duckdb") as con:
        content, _ = warehouse.manifest(con)
    assert content in said


def test_verify_names_a_page_that_no_run_made(plain):
    [folder] = plain.root.glob("audits/*/*")
    (folder / "extra.html").write_text("<p>hello</p>")
    caseround(plain, "verify", expect=17)
