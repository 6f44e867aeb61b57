"""Every reason for refusing a file; each leaves the inbox alone and takes nothing in."""

import gzip
from datetime import UTC, datetime

import pytest

from pipeline.feeds.reasons import REASONS
from pipeline.feeds.store_layout import read_refusals
from tests.unit.intake.inbox import GOOD, RECEIVED, Inbox, as_text, source

CLIENT = GOOD["clients"]
LOANS = [{**GOOD["loans"], "loan_id": f"L-{n}"} for n in range(3)]


def loans_with(column: str, *cells: str) -> str:
    return as_text([{**row, column: cell} for row, cell in zip(LOANS, cells, strict=False)])


REFUSED = [
    ("people.csv", "client_id\nC-1\n", "unknown_feed", (), None),
    ("clients.csv", "", "empty_file", (), None),
    ("clients.csv", "\n \n\n", "empty_file", (), None),
    ("clients.csv.gz", gzip.compress(b"", mtime=0), "empty_file", (), None),
    ("clients.csv", "client_id,sex\nC-1,f\xe9minin\n".encode("latin-1"), "not_utf8", (), None),
    ("clients.csv", "client_id\nC-1\n".encode("utf-16"), "not_utf8", (), None),
    ("clients.csv", "client_id\nC-1\n".encode("utf-16-le"), "not_utf8", (), None),
    ("clients.xlsx", b"PK\x03\x04", "unreadable", (), None),
    ("clients.csv.gz", gzip.compress(b"client_id\nC-1\n" * 400, mtime=0)[:-12], "unreadable", (), None),
    ("clients.csv", 'client_id,sex\nC-1,male\n"C-2,male\nC-3,female\n', "unreadable", (), None),
    ("clients.csv", "client_id,sex,sex\nC-1,male,male\n", "duplicate_heading", ("sex",), None),
    ("clients.csv", "client_id,shelf,shelf\nC-1,a,a\n", "duplicate_heading", ("shelf",), None),
    ("loans.csv", "loan_id,client_id,position\nL-1,C-1,lying\n", "missing_column", ("surface_class",), None),
    ("clients.csv", "client_id,Patient Name\nC-1,x\n", "identity_heading", ("Patient Name",), None),
    # 943 476 5919 is the check-digit example of the NHS number's documentation.
    ("loans.csv", loans_with("shelf", "B7", "9434765919"), "identity_value", ("shelf",), 3),
    ("loans.csv", loans_with("device_id", "D-1", "943-476-5919"), "identity_value", ("device_id",), 3),
    ("assessments.csv", [{**GOOD["assessments"], "recorded_total": "9434765919"}], "identity_value",
     ("recorded_total",), 2),
    ("loans.csv", as_text(LOANS[:1]) + "L-2,C-1,lying,foam,9434765919\n", "identity_value", (), 3),
    ("loans.csv", loans_with("remark", "she likes a quiet room", "", "moved to the front room"), "free_text",
     ("remark",), None),
    ("clients.csv", [CLIENT | {"client_id": f"C-{n}", "sex": "x" if n < 11 else "male"} for n in range(50)],
     "too_many_held", (), None),
]  # fmt: skip


@pytest.mark.parametrize(("name", "content", "code", "columns", "row"), REFUSED)
def test_a_refused_file_is_left_as_it_is_and_refused_again_without_reading(inbox, name, content, code, columns, row):
    outcome = inbox.take_one(name, content)
    status = "too_many_held" if code == "too_many_held" else "refused"
    assert (outcome.status, outcome.code, outcome.columns, outcome.row) == (status, code, columns, row)
    assert REASONS[code].title.lower() in outcome.message
    assert name in outcome.message
    assert (inbox.workspace.inbox / name).exists()
    assert not (inbox.workspace.store / "accepted").exists()
    [refusal] = inbox.records("refused")
    again = inbox.take()[name]
    assert again == outcome
    assert inbox.records("refused") == [refusal]
    assert refusal["received_at"] == "2026-03-02T06:00:00Z"


def test_every_refusal_has_a_case():
    assert {case[2] for case in REFUSED} | {"no_date_in_name"} == {
        reason.code for reason in REASONS.values() if reason.kind == "refused"
    }


def test_a_remembered_refusal_is_not_read_again(inbox, monkeypatch):
    inbox.take_one("clients.csv", "client_id,phone\nC-1,x\n")
    monkeypatch.setattr("pipeline.intake.taking.check_text", lambda path: pytest.fail("the file was read again"))
    assert inbox.take()["clients.csv"].code == "identity_heading"


def test_a_file_name_without_the_promised_day_is_refused(tmp_path):
    inbox = Inbox(tmp_path, sources=(source(match="c_*", feed="clients", updated_at="file name, %Y%m%d"),))
    inbox.drop("c_20260231.csv", "client_id\nC-1\n")
    inbox.drop("c_x20260228_2.csv", "client_id\nC-2\n")
    outcomes = inbox.take()
    assert (outcomes["c_20260231.csv"].code, outcomes["c_x20260228_2.csv"].status) == ("no_date_in_name", "taken")
    [row] = inbox.accepted("clients")
    assert (row["updated_at"].isoformat(), row["updated_at_has_time"]) == ("2026-02-28T00:00:00", False)


def test_sentences_listed_under_ignore_are_dropped_but_still_searched(tmp_path):
    ward = source(match="loans*", feed="loans", ignore=("remark",))
    inbox = Inbox(tmp_path, sources=(ward,))
    inbox.drop("loans_1.csv", loans_with("remark", "she likes a quiet room", "MARKER is not a word"))
    inbox.drop("loans_2.csv", loans_with("remark", "please ring 07700 900123 first"))
    outcomes = inbox.take()
    assert outcomes["loans_1.csv"].status == "taken"
    assert outcomes["loans_2.csv"].code == "identity_value"
    assert inbox.records("receipts")[0]["columns_dropped"] == ["remark"]
    assert b"MARKER" not in inbox.everything_written()


def test_ten_of_fifty_held_rows_are_not_too_many(inbox):
    rows = [CLIENT | {"client_id": f"C-{n}", "sex": "x" if n < 10 else "male"} for n in range(50)]
    outcome = inbox.take_one("clients.csv", rows)
    assert (outcome.status, outcome.held) == ("taken", 10)


def test_all_of_forty_nine_rows_may_be_held(inbox):
    rows = [CLIENT | {"client_id": f"C-{n}", "sex": "x"} for n in range(49)]
    outcome = inbox.take_one("clients.csv", rows)
    assert (outcome.status, outcome.held) == ("taken", 49)


def test_one_refused_file_stops_no_other(inbox):
    inbox.drop("clients_1.csv", "client_id,email\nC-1,x\n")
    inbox.drop("clients_2.csv", "client_id\nC-1\n")
    assert [file.status for file in inbox.take().values()] == ["refused", "taken"]


def test_a_mended_mapping_reads_a_refused_file(tmp_path):
    Inbox(tmp_path).take_one("bureau_1.csv", "No\nC-1\n")
    mapped = Inbox(tmp_path, sources=(source(feed="clients", columns={"No": "client_id"}),))
    assert mapped.take()["bureau_1.csv"].status == "taken"


def test_log_and_messages_hold_no_cell(inbox):
    """Planted values of every kind: held cells, ragged rows, dropped columns, refused values."""
    marker = "MARKER77"
    contents = {
        "clients_1.csv": [CLIENT | {"sex": marker, "client_id": f"C {marker}", "shelf": marker}],
        "clients_2.csv": f"client_id\nC-1,{marker}\n",
        "clients_3.csv": [CLIENT | {"shelf": f"{marker}@example.org"}],
        "clients_4.csv": f'client_id,sex\nC-1,"{marker}\n',
        "loans_1.csv": [{**LOANS[0], "made_on": marker, "width_cm": marker, "device_id": marker + "!"}],
        "assessments_1.csv": [{**GOOD["assessments"], "scale": marker, "mobility": marker, "assessed_at": marker}],
    }
    for name, content in contents.items():
        inbox.drop(name, content)
    outcomes = inbox.take()
    said = " ".join(f"{file!r} {file.message}" for file in outcomes.values()) + inbox.log.read_text()
    assert sum(file.held for file in outcomes.values()) == 4
    assert marker not in said


NEXT, LATER, LATEST = (datetime(2026, 3, day, 6, tzinfo=UTC) for day in (9, 16, 23))


def stands(inbox, moment):
    """Since when the one refusal stands at a moment."""
    [refusal] = read_refusals(inbox.workspace.store)
    return refusal.since(moment)


def test_a_refusal_stands_as_long_as_its_file_lies_in_the_inbox(inbox):
    path = inbox.drop("clientsx.csv", [CLIENT])
    inbox.take()
    inbox.take(received_at=NEXT)
    assert stands(inbox, NEXT) == "2026-03-02T06:00:00Z"
    path.unlink()
    inbox.take(received_at=LATER)
    assert stands(inbox, LATER) is None
    # What was so stays so: an audit of the week before still shows it, and none of the time before it came does.
    assert stands(inbox, NEXT) == "2026-03-02T06:00:00Z"
    assert stands(inbox, datetime(2026, 3, 1, tzinfo=UTC)) is None


def test_a_refused_file_that_comes_back_stands_again_from_then(inbox):
    path = inbox.drop("clientsx.csv", [CLIENT])
    inbox.take()
    path.unlink()
    inbox.take(received_at=NEXT)
    inbox.drop("clientsx.csv", [CLIENT])
    assert inbox.take(received_at=LATER)["clientsx.csv"].status == "refused"
    inbox.take(received_at=LATEST)
    assert [stands(inbox, moment) for moment in (RECEIVED, NEXT, LATER, LATEST)] == [
        "2026-03-02T06:00:00Z", None, "2026-03-16T06:00:00Z", "2026-03-16T06:00:00Z",
    ]  # fmt: skip


def test_an_intake_that_repeats_itself_writes_nothing_new(inbox):
    inbox.drop("clientsx.csv", [CLIENT]).unlink()
    inbox.take_one("clientsy.csv", [CLIENT])
    (inbox.workspace.inbox / "clientsy.csv").unlink()
    inbox.take(received_at=NEXT)
    before = inbox.records("refused")
    inbox.take(received_at=NEXT)
    inbox.take(received_at=LATER)
    assert inbox.records("refused") == before


def test_a_mended_mapping_ends_the_refusal_of_the_old_one(tmp_path):
    inbox = Inbox(tmp_path)
    inbox.take_one("bureau_1.csv", "No\nC-1\n")
    assert stands(inbox, NEXT)
    mapped = Inbox(tmp_path, sources=(source(feed="clients", columns={"No": "client_id"}),))
    assert mapped.take(received_at=NEXT)["bureau_1.csv"].status == "taken"
    assert (stands(mapped, RECEIVED), stands(mapped, NEXT)) == ("2026-03-02T06:00:00Z", None)
