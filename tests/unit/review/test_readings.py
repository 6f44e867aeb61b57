"""Which of several readings of the same bytes stands."""

from datetime import datetime

from pipeline.feeds.store_layout import Arrival, Receipt
from pipeline.review.store_views import _replaced

EMPTY = {
    **dict.fromkeys(("rows_read", "accepted", "held"), 0),
    **dict.fromkeys(("accepted_sha256", "held_sha256", "software_version"), ""),
    **dict.fromkeys(("first_on", "last_on")),
    **dict.fromkeys(("columns_used", "columns_dropped"), ()),
    "receipt_version": 1, "file_name": "loans.csv", "bytes": 1, "source": "default", "feed": "loans",
    "held_by_code": {},
}


def receipt(contract: str, day: int) -> Receipt:
    return Receipt(file_id="f", contract=contract, received_at=f"2026-01-{day:02}T06:00:00Z", **EMPTY)


def arrival(contract: str, day: int) -> Arrival:
    return Arrival(
        file_id="f", feed="loans", source="default", contract=contract, file_name="loans.csv", mtime_ns=day,
        received_at=f"2026-01-{day:02}T06:00:00Z",
    )  # fmt: skip


def test_a_single_reading_stands_however_often_it_comes():
    assert _replaced([receipt("aaaaaaaa", 1)], [arrival("aaaaaaaa", 1), arrival("aaaaaaaa", 9)]) == {}


def test_a_newer_contract_replaces_the_older_reading_from_its_day():
    readings = [receipt("aaaaaaaa", 1), receipt("bbbbbbbb", 5)]
    assert _replaced(readings, [arrival("aaaaaaaa", 1)]) == {"f-aaaaaaaa": datetime(2026, 1, 5, 6)}


def test_bytes_that_come_again_under_the_older_contract_bring_it_back():
    readings = [receipt("aaaaaaaa", 1), receipt("bbbbbbbb", 5)]
    assert _replaced(readings, [arrival("aaaaaaaa", 7)]) == {"f-bbbbbbbb": datetime(2026, 1, 7, 6)}


def test_the_same_bytes_as_two_feeds_do_not_replace_each_other():
    other = Receipt(
        file_id="f", contract="cccccccc", received_at="2026-01-05T06:00:00Z", **{**EMPTY, "feed": "clients"}
    )
    assert _replaced([receipt("aaaaaaaa", 1), other], []) == {}
