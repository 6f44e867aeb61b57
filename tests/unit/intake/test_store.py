"""What intake leaves in the store: which files it looks at, receipts, arrivals, readings under another contract."""

import gzip
import hashlib
import json
import os
from datetime import timedelta

import pyarrow.compute as pc
import pyarrow.parquet as pq
import pytest

from pipeline import files
from pipeline.feeds.columns import FEEDS, HELD_SCHEMA, arrow_schema
from pipeline.intake.discovery import feed_of
from pipeline.intake.receipts import read_arrivals, read_receipts
from tests.unit.intake.inbox import BRADEN, GOOD, RECEIVED, SCALES, Inbox, Scales, as_text, items, source

WEEK = timedelta(days=7)
CLIENTS = [{"client_id": f"C-{n}", "sex": "male"} for n in range(3)]


@pytest.mark.parametrize(
    ("name", "feed"),
    [
        ("clients", "clients"),
        ("clients.csv", "clients"),
        ("clients2026.csv", "clients"),
        ("clients_a.csv", "clients"),
        ("clients-a.csv", "clients"),
        ("loans/january.csv", "loans"),
        ("loans/2026/clients.csv", "loans"),
        ("elsewhere/clients.csv", "clients"),
        ("clientsx.csv", None),
        ("Clients.csv", None),
        ("my_clients.csv", None),
        ("elsewhere/january.csv", None),
    ],
)
def test_a_feed_is_told_by_folder_or_name(name, feed):
    assert feed_of(name) == feed


def test_a_source_decides_before_folder_and_name(tmp_path):
    inbox = Inbox(tmp_path, sources=(source(match="clients*.csv", feed="loans"),))
    inbox.drop("clients_1.csv", [GOOD["loans"]])
    outcome = inbox.take()["clients_1.csv"]
    assert (outcome.feed, outcome.source, outcome.accepted) == ("loans", "bureau", 1)


def test_unfinished_and_hidden_files_are_left_alone(inbox):
    for name in (
        ".clients.csv",
        "~$clients.csv",
        "clients.csv.part",
        "clients.tmp",
        "README.md",
        "ReadMe",
        ".g/clients.csv",
    ):
        inbox.drop(name, "client_id\nC-1\n")
    assert inbox.take() == {}


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("clients.csv", as_text(CLIENTS)),
        ("clients.tsv", as_text(CLIENTS, delimiter="\t")),
        ("clients.txt", as_text(CLIENTS, delimiter=";")),
        ("clients.csv", "\ufeff" + as_text(CLIENTS)),
        ("clients.csv.gz", gzip.compress(as_text(CLIENTS).encode(), mtime=0)),
        ("clients.csv", as_text(CLIENTS).replace("\r\n", "\r")),
        ("clients.csv", as_text(CLIENTS).replace("\r\n", "\n").rstrip("\n")),
        ("clients.csv", as_text([{"sex": " male ", "other": 'a,\n"b"', **row} for row in CLIENTS])),
    ],
)
def test_every_writing_of_a_file_gives_the_same_content(inbox, name, content):
    assert inbox.take_one(name, content).accepted == 3
    assert [(row["client_id"], row["sex"]) for row in inbox.accepted("clients")] == [
        (f"C-{n}", "male") for n in range(3)
    ]


def test_a_file_longer_than_a_block_is_whole(inbox):
    rows = "".join(f"C-{n},{'male' if n % 7 else ''}\n" + ("C-9\n" if n % 99_999 == 5 else "") for n in range(900_000))
    outcome = inbox.take_one("clients.csv", "client_id,sex\n" + rows)
    assert (outcome.rows_read, outcome.held_by_code) == (900_010, {"wrong_cell_count": 10})
    table = pq.read_table(next((inbox.workspace.store / "accepted" / "clients").glob("*.parquet")))
    held = {row["source_row"] for row in inbox.held("clients")}
    assert held | set(table["source_row"].to_pylist()) == set(range(2, 900_012))
    # The row number follows from the id: each ragged row before it moves it on by one.
    n = 700_000
    [row] = table.filter(pc.equal(table["client_id"], f"C-{n}"))["source_row"].to_pylist()
    assert row == n + 2 + sum(at < n for at in range(5, 900_000, 99_999))


def test_receipt_and_parquet_agree(inbox):
    content = as_text([{**GOOD["assessments"], "shelf": "B7"}, {**GOOD["assessments"], "scale": "x"}]).encode()
    inbox.take_one("assessments/a.csv", content)
    [receipt] = inbox.records("receipts")
    assert receipt == receipt | {
        "receipt_version": 1, "file_id": hashlib.sha256(content).hexdigest(), "file_name": "assessments/a.csv",
        "bytes": len(content), "source": "default", "feed": "assessments", "received_at": "2026-03-02T06:00:00Z",
        "rows_read": 2, "accepted": 1, "held": 1, "held_by_code": {"unknown_scale": 1}, "columns_dropped": ["shelf"],
        "first_on": "2026-02-26", "last_on": "2026-02-26", "age_capped": 0,
    }  # fmt: skip
    assert receipt["columns_used"] == [*list(GOOD["assessments"])[:4], "updated_at", *sorted(BRADEN)]
    key = f"{receipt['file_id']}-{receipt['contract'][:8]}"
    for kind, schema in (("accepted", arrow_schema(FEEDS["assessments"])), ("held", HELD_SCHEMA)):
        path = inbox.workspace.store / kind / "assessments" / f"{key}.parquet"
        assert hashlib.sha256(path.read_bytes()).hexdigest() == receipt[f"{kind}_sha256"]
        assert pq.read_schema(path).equals(schema)
    assert inbox.accepted("assessments")[0]["file_key"] == key
    assert not (inbox.workspace.store / ".staging").exists()


def test_the_same_bytes_are_read_once_and_each_new_sighting_arrives(inbox):
    path = inbox.drop("clients_1.csv", CLIENTS)
    inbox.take()
    receipt = inbox.records("receipts")
    assert [file.status for file in inbox.take(received_at=RECEIVED + WEEK).values()] == ["known"]
    assert len(inbox.records("arrivals")) == 1
    os.utime(path, ns=(1, 1))
    inbox.take(received_at=RECEIVED + WEEK)
    inbox.drop("clients_2.csv", CLIENTS)
    outcomes = inbox.take(received_at=RECEIVED + 2 * WEEK)
    assert [(file.status, file.rows_read) for file in outcomes.values()] == [("known", 3), ("known", 3)]
    assert inbox.records("receipts") == receipt
    arrivals = [(arrival.file_name, arrival.received_at[:10]) for arrival in read_arrivals(inbox.workspace)]
    assert arrivals == [
        ("clients_1.csv", "2026-03-02"),
        ("clients_1.csv", "2026-03-09"),
        ("clients_2.csv", "2026-03-16"),
    ]


def test_equal_bytes_of_two_feeds_are_two_readings(inbox):
    inbox.drop("loans/a.csv", [GOOD["loans"] | GOOD["injuries"]])
    inbox.drop("injuries/a.csv", [GOOD["loans"] | GOOD["injuries"]])
    assert [file.status for file in inbox.take().values()] == ["taken", "taken"]
    assert len({receipt.contract for receipt in read_receipts(inbox.workspace)}) == 2


def test_another_contract_reads_again_and_the_older_reading_stays(inbox):
    inbox.take_one("assessments.csv", [{**GOOD["assessments"], "mobility": "5"}])
    wider = Scales(SCALES | {"braden": BRADEN | items("mobility", 1, 5)})
    outcome = inbox.take(received_at=RECEIVED + WEEK, scales=wider)["assessments.csv"]
    assert (outcome.status, outcome.accepted) == ("taken", 1)
    assert [(r.accepted, r.held) for r in read_receipts(inbox.workspace)] == [(0, 1), (1, 0)]
    # Back under the first contract nothing is read, but that it arrived again is what tells which reading holds.
    inbox.take(received_at=RECEIVED + 2 * WEEK)
    inbox.take(received_at=RECEIVED + 3 * WEEK)
    contracts = [arrival.contract for arrival in read_arrivals(inbox.workspace)]
    assert contracts[0] == contracts[2] != contracts[1]
    assert len(contracts) == 3


def test_the_contract_follows_columns_scales_and_mapping_only(tmp_path):
    def contract(name, scales=None, **said):
        inbox = Inbox(tmp_path / name, sources=(source(match="*", **said),) if said else ())
        inbox.take_one("assessments.csv", [GOOD["assessments"]], scales=scales)
        return inbox.records("receipts")[0]["contract"]

    plain = contract("a")
    assert contract("b") == plain
    assert contract("c", Scales(SCALES | {"braden": BRADEN | items("mobility", 1, 5)})) != plain
    assert contract("d", columns={"x": "assessor"}) != contract("e", columns={"y": "assessor"})


def test_rows_of_a_scale_that_was_learned_later_are_judged_again_without_their_file(inbox):
    strange = {**GOOD["assessments"], "scale": "five_steps"}
    rows = [GOOD["assessments"], {**strange, "assessment_id": "A-2"},
            {**strange, "assessment_id": "A-3", "mobility": "9"},
            {**GOOD["assessments"], "assessment_id": "A-4", "mobility": "x"}]  # fmt: skip
    inbox.take_one("assessments.csv", rows)
    (inbox.workspace.inbox / "assessments.csv").unlink()
    learned = Scales(SCALES | {"five_steps": dict.fromkeys(BRADEN, items("x", 1, 5)["x"])})
    [outcome] = inbox.take(received_at=RECEIVED + WEEK, scales=learned).values()
    assert (outcome.rows_read, outcome.accepted, outcome.held) == (4, 2, 2)
    assert outcome.held_by_code == {"item_out_of_range": 1, "not_a_number": 1}
    newest = read_receipts(inbox.workspace)[-1]
    accepted = pq.read_table(
        inbox.workspace.store / "accepted" / "assessments" / f"{newest.file_key}.parquet"
    ).to_pylist()
    assert [(row["assessment_id"], row["source_row"], row["file_key"]) for row in accepted] == [
        ("A-1", 2, newest.file_key), ("A-2", 3, newest.file_key)]  # fmt: skip
    assert inbox.take(received_at=RECEIVED + 2 * WEEK, scales=learned) == {}


def test_rows_whoseitems_were_left_out_stay_held_when_their_scale_is_learned(inbox):
    inbox.take_one("assessments.csv", [{**GOOD["assessments"], "scale": "new", "new_item": "1"}])
    (inbox.workspace.inbox / "assessments.csv").unlink()
    assert inbox.take(scales=Scales(SCALES | {"new": items("new_item mobility", 1, 4)})) == {}


def test_a_mapping_renames_recodes_and_reads_dates(tmp_path):
    mapped = source(
        columns={"Ref": "assessment_id", "Person": "client_id", "When": "assessed_at", "Tool": "scale",
                 "Move": "mobility", "Changed": "updated_at"},
        codes={"scale": {"Braden scale": "braden"}, "mobility": {"fully": "4", "n/k": ""}},
        date_format="%d/%m/%Y %H:%M",
    )  # fmt: skip
    inbox = Inbox(tmp_path, sources=(mapped,))
    rows = [
        {
            "Ref": "A-1",
            "Person": "C-1",
            "When": "26/02/2026 09:30",
            "Tool": "Braden scale",
            "Move": "fully",
            "Changed": "",
        },
        {"Ref": "A-2", "Person": "C-1", "When": "2026-02-26", "Tool": "braden", "Move": "n/k", "Changed": ""},
        {
            "Ref": "A-3",
            "Person": "C-1",
            "When": "26.2.26",
            "Tool": "braden",
            "Move": "1",
            "Changed": "27/02/2026 08:00",
        },
    ]
    inbox.take_one("bureau_1.csv", [{"Person": "C-1", **row} for row in rows])
    accepted = inbox.accepted("assessments")
    assert [(row["assessed_at"].isoformat(), row["assessed_at_has_time"], row["items"]) for row in accepted] == [
        ("2026-02-26T09:30:00", True, "mobility 4"), ("2026-02-26T00:00:00", False, None)]  # fmt: skip
    [held] = inbox.held("assessments")
    assert held["codes"] == "not_a_time"
    # The time of change was readable, so it is kept in the one form that needs no mapping.
    assert json.loads(held["raw"])["updated_at"] == "2026-02-27T08:00:00"


def test_a_file_that_changes_while_it_is_read_waits_for_the_next_run(inbox, monkeypatch):
    from pipeline.intake import taking

    path = inbox.drop("clients.csv", CLIENTS)
    read = taking.read_header
    monkeypatch.setattr(taking, "read_header", lambda p, **more: (os.utime(path, ns=(5, 5)), read(p, **more))[1])
    assert inbox.take()["clients.csv"].status == "changing"
    assert inbox.records("receipts") == inbox.records("refused") == []
    monkeypatch.undo()
    assert inbox.take()["clients.csv"].status == "taken"


def test_the_receipt_is_the_last_thing_written(inbox, monkeypatch):
    """Stopped before any step of the commit, the next intake starts afresh and ends the same."""
    calls = 0

    def stop_at(step):
        def told(name, moment):
            nonlocal calls
            calls += moment == "before"
            if calls == step:
                raise KeyboardInterrupt

        return told

    inbox.drop("clients.csv", CLIENTS)
    for step in range(1, 40):
        calls = 0
        monkeypatch.setattr(files, "on_call", stop_at(step))
        with pytest.raises(KeyboardInterrupt):
            inbox.take()
        monkeypatch.setattr(files, "on_call", None)
        if inbox.records("receipts"):
            break
    assert step > 6
    assert inbox.take()["clients.csv"].status == "known"
    assert len(inbox.accepted("clients")) == 3
    assert len(inbox.records("arrivals")) == 1
