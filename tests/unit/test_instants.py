"""Days and instants in a zone with summer time. Clock changes are those of the published time zone database."""

from datetime import UTC, date, datetime

import pytest

from pipeline import instants

LONDON = "Europe/London"


@pytest.mark.parametrize(
    ("text", "zone", "wanted"),
    [
        ("2026-03-02", "UTC", "2026-03-02T23:59:59.999999Z"),
        ("2026-07-01", LONDON, "2026-07-01T22:59:59.999999Z"),
        ("2026-07-01T10:00", LONDON, "2026-07-01T09:00:00Z"),
        ("2026-07-01T10:00:00Z", LONDON, "2026-07-01T10:00:00Z"),
        ("2026-07-01T10:00:00+05:30", LONDON, "2026-07-01T04:30:00Z"),
        ("20260105T060000Z", LONDON, "2026-01-05T06:00:00Z"),
        # 25 October 2026 has 01:30 twice in London: the first is summer time.
        ("2026-10-25T01:30", LONDON, "2026-10-25T00:30:00Z"),
        # The day that loses an hour still ends at its own midnight.
        ("2026-03-29", LONDON, "2026-03-29T22:59:59.999999Z"),
    ],
)
def test_what_a_person_types_becomes_one_instant(text, zone, wanted):
    assert instants.iso(instants.parse_instant(text, zone)) == wanted


@pytest.mark.parametrize("text", ["yesterday", "", "2026-02-30", "2026-03-02T25:00", "02/03/2026"])
def test_anything_else_is_refused(text):
    with pytest.raises(ValueError, match=r".*"):
        instants.parse_instant(text, "UTC")


def test_local_and_back():
    moment = datetime(2026, 7, 1, 9, tzinfo=UTC)
    assert instants.local(moment, LONDON) == datetime(2026, 7, 1, 10)
    assert instants.local_to_utc(instants.local(moment, LONDON), LONDON) == moment


def test_folder_names_hold_no_colons():
    assert instants.compact(datetime(2026, 1, 5, 6, tzinfo=UTC)) == "20260105T060000Z"


def test_a_day_ends_one_microsecond_before_the_next():
    assert instants.end_of_day(date(2026, 3, 2), "UTC") == datetime(2026, 3, 2, 23, 59, 59, 999999, tzinfo=UTC)
