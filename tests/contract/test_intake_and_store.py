"""Contract A: which feed a file is, what is taken in, held, refused, versioned."""

from __future__ import annotations

import json

import pyarrow.parquet as pq

from .conftest import NORTON, braden, client, injury, loan, placement

WEEK_1 = ("--received-at", "2026-01-05T06:00:00Z")
WEEK_2 = ("--received-at", "2026-01-12T06:00:00Z")


def people(desk, *ids, name="clients.csv"):
    desk.drop(name, [client(i) for i in ids or ("C-1",)])
    desk.drop(name.replace("clients", "placements"), [placement(i) for i in ids or ("C-1",)])


def test_prefix_folder_and_compressed_files_are_known_feeds(desk):
    people(desk)
    desk.drop("assessments_braden.csv", [braden("A-1")])
    desk.drop("loans/january.csv.gz", [loan("L-1")])
    desk.drop("injuries.2026.csv", [injury("O-1")], bom=True, delimiter=";")
    for name in (".hidden.csv", "~$clients.csv", "clients.csv.part", "clients.tmp", "README.md"):
        (desk.root / "inbox" / name).write_text("left alone")
    desk.run("run", *WEEK_1)
    assert {(r["feed"], r["accepted"]) for r in desk.receipts()} == {
        ("clients", 1),
        ("placements", 1),
        ("assessments", 1),
        ("loans", 1),
        ("injuries", 1),
    }


def test_unknown_feed_is_refused_and_the_audit_is_still_published(desk):
    people(desk)
    desk.drop("clientsx.csv", [client("C-9")])
    desk.run("run", *WEEK_1, expect=11)
    assert desk.ask("SELECT count(*) FROM records.clients") == [(1,)]
    assert (desk.root / "audits" / "index.html").exists()
    assert (desk.root / "inbox" / "clientsx.csv").exists()
    desk.run("run", *WEEK_2, expect=11)


def test_a_refused_file_that_was_taken_away_is_no_longer_held_against_the_inbox(desk):
    people(desk)
    wrong = desk.drop("clientsx.csv", [client("C-9")])
    desk.run("run", *WEEK_1, expect=11)
    first = desk.ask("SELECT store_fingerprint FROM review.parameters")
    wrong.unlink()
    desk.run("run", *WEEK_2)
    assert desk.ask("SELECT file_name FROM quality.files WHERE status = 'refused'") == []
    page = max((desk.root / "audits").glob("*/*/weekly_audit.html")).read_text()
    assert "clientsx.csv" not in page
    # The audit of the first week comes back as it was, with its banner.
    desk.run("review", "--known-at", WEEK_1[1])
    assert desk.ask("SELECT file_name FROM quality.files WHERE status = 'refused'") == [("clientsx.csv",)]
    assert desk.ask("SELECT store_fingerprint FROM review.parameters") == first


def test_the_same_bytes_again_change_nothing(desk):
    people(desk)
    desk.run("run", *WEEK_1)
    before = [r["received_at"] for r in desk.receipts()]
    desk.drop("clients_again.csv", [client("C-1")])
    desk.run("run", *WEEK_2)
    assert [r["received_at"] for r in desk.receipts()] == before
    arrivals = list((desk.root / "store" / "arrivals").glob("*.json"))
    assert len(arrivals) == 3


def test_layout_receipt_and_held_schema(desk):
    people(desk)
    desk.drop("assessments.csv", [braden("A-1"), braden("A-2", items=(3, 3, 2, 3, 3, 4))])
    desk.run("intake", *WEEK_1)
    [receipt] = [r for r in desk.receipts() if r["feed"] == "assessments"]
    assert set(receipt) >= {
        "receipt_version",
        "file_id",
        "file_name",
        "bytes",
        "source",
        "feed",
        "received_at",
        "contract",
        "software_version",
        "rows_read",
        "accepted",
        "held",
        "held_by_code",
        "columns_used",
        "columns_dropped",
        "first_on",
        "last_on",
        "accepted_sha256",
        "held_sha256",
    }
    assert (receipt["rows_read"], receipt["accepted"], receipt["held"]) == (2, 1, 1)
    name = f"{receipt['file_id']}-{receipt['contract'][:8]}"
    assert (desk.root / "store" / "accepted" / "assessments" / f"{name}.parquet").exists()
    held = pq.read_table(desk.root / "store" / "held" / "assessments" / f"{name}.parquet")
    assert held.column_names == ["source_row", "record_id", "client_id", "codes", "columns", "raw"]
    [row] = held.to_pylist()
    assert row["record_id"] == "A-2" and json.loads(row["raw"])["friction_shear"] == "4"


def test_a_person_nobody_knows_waits_and_then_counts(desk):
    people(desk)
    desk.drop("assessments.csv", [braden("A-1", "C-2")])
    desk.run("run", *WEEK_1)
    assert desk.ask("SELECT count(*) FROM risk.scores") == [(0,)]
    assert desk.ask("SELECT record_id, code FROM quality.held") == [("A-1", "client_unknown")]
    desk.drop("clients_2.csv", [client("C-2")])
    desk.run("run", *WEEK_2)
    assert desk.ask("SELECT client_id FROM risk.scores") == [("C-2",)]
    desk.run("review", "--known-at", "2026-01-05T06:00:00Z", "--as-of", "2026-01-05")
    assert desk.ask("SELECT count(*) FROM risk.scores") == [(0,)]


def test_rows_balance(desk):
    people(desk, "C-1", "C-2")
    desk.drop(
        "assessments.csv",
        [
            braden("A-1", updated_at="2026-01-03T08:00:00"),
            braden("A-1", items=(3, 3, 2, 3, 3, 3), updated_at="2026-01-04T08:00:00"),
            braden("A-2"),
            braden("A-2"),
            braden("A-3", "C-9"),
            braden("A-4", record_status="entered-in-error"),
            braden("A-5", updated_at="2026-01-04"),
            braden("A-5", items=(1, 1, 1, 1, 1, 1), updated_at="2026-01-04"),
        ],
    )
    desk.run("run", *WEEK_1)
    [row] = desk.ask(
        "SELECT accepted, current, superseded, unchanged, duplicate, entered_in_error, waiting, withdrawn"
        " FROM quality.reconciliation WHERE feed = 'assessments'"
    )
    assert row[0] == sum(row[1:]) == 6
    assert row == (6, 2, 1, 0, 1, 1, 1, 0)
    assert {r[0] for r in desk.ask("SELECT code FROM quality.held WHERE record_id = 'A-5'")} == {"duplicate_id"}
    assert desk.ask("SELECT recomputed_total FROM risk.scores WHERE assessment_id = 'A-1'") == [(17,)]


def test_the_newest_version_wins_whatever_the_order_of_files(desk):
    people(desk)
    desk.drop("assessments_a.csv", [braden("A-1", items=(1, 1, 1, 1, 1, 1), updated_at="2026-01-04T08:00:00")])
    desk.run("run", *WEEK_1)
    desk.drop("assessments_b.csv", [braden("A-1", items=(4, 4, 4, 4, 4, 3), updated_at="2026-01-03T08:00:00")])
    desk.run("run", *WEEK_2)
    assert desk.ask("SELECT recomputed_total FROM risk.scores") == [(6,)]


def test_an_id_that_changes_hands_is_held(desk):
    people(desk, "C-1", "C-2")
    desk.drop("assessments_a.csv", [braden("A-1", "C-1", updated_at="2026-01-03")])
    desk.run("run", *WEEK_1)
    desk.drop("assessments_b.csv", [braden("A-1", "C-2", updated_at="2026-01-10")])
    desk.run("run", *WEEK_2)
    assert desk.ask("SELECT client_id FROM risk.scores") == [("C-1",)]
    assert desk.ask("SELECT code, hides_newer FROM quality.held") == [("id_reused", True)]


def test_an_older_good_version_stands_while_a_newer_one_is_held(desk):
    people(desk)
    desk.drop("injuries_a.csv", [injury("O-1", updated_at="2026-01-03T08:00:00")])
    desk.run("run", *WEEK_1)
    desk.drop("injuries_b.csv", [injury("O-1", length_cm="wide", updated_at="2026-01-10T08:00:00")])
    desk.run("run", *WEEK_2)
    assert desk.ask("SELECT record_id, hides_newer FROM quality.held") == [("O-1", True)]
    assert desk.ask("SELECT count(*) FROM wounds.open") == [(1,)]
    desk.drop("injuries_c.csv", [injury("O-1", length_cm=5, updated_at="2026-01-11T08:00:00")])
    desk.run("run", "--received-at", "2026-01-13T06:00:00Z")
    assert desk.ask("SELECT count(*) FROM quality.held WHERE status = 'waiting'") == [(0,)]


def test_too_many_held_rows_refuse_the_file(desk):
    people(desk)
    rows = [braden(f"A-{i}", items=(9, 3, 2, 3, 3, 2) if i < 11 else (3, 3, 2, 3, 3, 2)) for i in range(50)]
    desk.drop("assessments.csv", rows)
    desk.run("run", *WEEK_1, expect=12)
    assert not [r for r in desk.receipts() if r["feed"] == "assessments"]
    assert desk.ask("SELECT count(*) FROM risk.scores") == [(0,)]


def test_exactly_a_fifth_held_is_taken_in(desk):
    people(desk)
    rows = [braden(f"A-{i}", items=(9, 3, 2, 3, 3, 2) if i < 10 else (3, 3, 2, 3, 3, 2)) for i in range(50)]
    desk.drop("assessments.csv", rows)
    desk.run("run", *WEEK_1)
    assert desk.ask("SELECT count(*) FROM risk.scores") == [(40,)]


def test_blank_item_is_accepted_and_another_scales_item_is_held(desk):
    people(desk)
    blank = dict.fromkeys(NORTON)
    desk.drop(
        "assessments.csv",
        [
            {**blank, **braden("A-1", items=(3, 3, None, 3, 3, 2))},
            {**blank, **braden("A-2"), "incontinence": 3},
        ],
    )
    desk.run("run", *WEEK_1)
    assert desk.ask("SELECT assessment_id, recomputed_total, recomputed_band, is_complete FROM risk.scores") == [
        ("A-1", None, None, False)
    ]


def test_ages_and_ids(desk):
    desk.drop(
        "clients.csv",
        [
            client("C-1", age_years=95),
            client("C-2", age_years=121),
            client("123456789"),
            client("C 4"),
            client("12345678"),
        ],
    )
    desk.drop("placements.csv", [placement("C-1")])
    desk.run("run", *WEEK_1)
    assert desk.ask("SELECT client_id, age_years FROM records.clients ORDER BY 1") == [("12345678", 79), ("C-1", 90)]
    assert desk.ask("SELECT count(*) FROM quality.held WHERE code = 'bad_id'") == [(2,)]


def test_an_unknown_column_is_never_stored_and_a_national_number_refuses_the_file(desk):
    people(desk)
    desk.drop("loans.csv", [loan("L-1", shelf="B7")])
    desk.run("run", *WEEK_1)
    [receipt] = [r for r in desk.receipts() if r["feed"] == "loans"]
    assert receipt["columns_dropped"] == ["shelf"]
    # 943 476 5919: the check-digit example that the NHS number documentation prints.
    desk.drop("loans_2.csv", [loan("L-2", shelf="9434765919")])
    _, out, err = desk.run("run", *WEEK_2, expect=11)
    assert "9434765919" not in out + err
    assert "9434765919" not in "".join(p.read_text() for p in (desk.root / "logs").glob("*"))
    desk.drop("loans_2.csv", [loan("L-2")])
    desk.drop("clients_3.csv", [{**client("C-3"), "date_of_birth": "1940-01-01"}])
    desk.run("run", "--received-at", "2026-01-14T06:00:00Z", expect=11)
    assert desk.ask("SELECT count(*) FROM records.clients") == [(1,)]


def test_a_snapshot_source_ends_what_it_no_longer_lists(desk):
    (desk.root / "caseround.toml").write_text(
        'time_zone = "UTC"\n[[source]]\nname = "store_room"\nmatch = "lent_*.csv"\nfeed = "loans"\n'
        'delivers = "snapshot"\n'
    )
    people(desk)
    desk.drop("lent_1.csv", [loan("L-1"), loan("L-2", position="sitting", surface_class="cushion_foam")])
    desk.run("run", *WEEK_1)
    assert desk.ask("SELECT count(*) FROM records.loans") == [(2,)]
    desk.drop("lent_2.csv", [loan("L-1", owner="hire")])
    desk.run("run", *WEEK_2)
    assert desk.ask("SELECT loan_id, owner FROM records.loans") == [("L-1", "hire")]
    desk.run("review", "--known-at", "2026-01-05T06:00:00Z")
    assert desk.ask("SELECT count(*) FROM records.loans") == [(2,)]
