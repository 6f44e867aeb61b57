"""`explain` names the file and the row that each record came from, as somebody finds it in a spreadsheet."""

import json

from tests.contract.conftest import braden, client, loan, placement

WEEK_1 = ("--received-at", "2026-01-05T06:00:00Z")
WEEK_2 = ("--received-at", "2026-01-12T06:00:00Z")
TWO_SOURCES = """
[[source]]
name = "north"
match = "north/*"
feed = "loans"

[[source]]
name = "south"
match = "south/*"
feed = "loans"
"""


def origins(desk, client_id="C-1"):
    """(feed, record) to (file, row)."""
    _, said, _ = desk.run("explain", client_id, "--format", "json")
    return {(row["feed"], row["record_id"]): (row["file_name"], row["source_row"]) for row in json.loads(said)["rows"]}


def taken_in(desk):
    desk.drop("clients.csv", [client("C-2"), client("C-1")])
    desk.drop("placements.csv", [placement("C-2"), placement("C-1")])
    desk.drop("assessments.csv", [braden("A-0", "C-2"), braden("A-1", recorded_total=16)])
    desk.drop("loans.csv", [loan("L-0", "C-2"), loan("L-1")])
    desk.run("run", *WEEK_1)


def test_the_heading_is_row_one(desk):
    taken_in(desk)
    assert origins(desk) == {
        ("clients", "C-1"): ("clients.csv", 3),
        ("placements", "P-C-1"): ("placements.csv", 3),
        ("assessments", "A-1"): ("assessments.csv", 3),
        ("loans", "L-1"): ("loans.csv", 3),
    }
    _, words, _ = desk.run("explain", "C-1")
    assert "Risk scores A-1" in words
    assert "sent by default (assessments.csv, row 3)." in " ".join(words.split())


def test_a_correction_names_the_file_that_it_came_with_and_a_repetition_the_first(desk):
    taken_in(desk)
    later = loan("L-0", "C-2", updated_at="2026-01-11T09:00:00", surface_class="gel")
    desk.drop("loans_later.csv", [loan("L-1"), later])
    desk.run("run", *WEEK_2)
    assert origins(desk)["loans", "L-1"] == ("loans.csv", 3)
    assert origins(desk, "C-2")["loans", "L-0"] == ("loans_later.csv", 3)


def test_one_id_of_two_sources_is_two_rows_in_two_files(desk):
    (desk.root / "caseround.toml").write_text(TWO_SOURCES, encoding="utf-8")
    desk.drop("clients.csv", [client()])
    desk.drop("placements.csv", [placement()])
    desk.drop("north/a.csv", [loan("L-1")])
    desk.drop("south/b.csv", [loan("L-0", position="sitting", surface_class="cushion_gel"), loan("L-1")])
    desk.run("run", *WEEK_1)
    found = {record: where for (feed, record), where in origins(desk).items() if feed == "loans"}
    assert found == {
        "L-1@north": ("north/a.csv", 2),
        "L-0": ("south/b.csv", 2),
        "L-1@south": ("south/b.csv", 3),
    }


def test_a_person_who_was_merged_is_found_under_the_former_id(desk):
    desk.drop("clients.csv", [client("C-0"), client("C-9", updated_at="2026-01-03T08:00:00")])
    desk.drop("placements.csv", [placement("C-9")])
    desk.drop("merges.csv", [{"old_client_id": "C-9", "client_id": "C-1", "merged_on": "2026-01-04"}])
    desk.run("run", *WEEK_1)
    assert origins(desk)["clients", "C-1"] == ("clients.csv", 3)
    assert origins(desk, "C-9") == origins(desk)


def test_what_the_store_no_longer_holds_is_left_out(desk):
    taken_in(desk)
    [path] = (desk.root / "store" / "accepted" / "loans").glob("*.parquet")
    path.unlink()
    assert origins(desk)["loans", "L-1"] == (None, None)
    _, words, _ = desk.run("explain", "C-1")
    assert "(loans.csv" not in words
