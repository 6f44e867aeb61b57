"""Every reason for holding a row, from a dirty file to the held list."""

import json
from datetime import datetime
from decimal import Decimal

import pytest

from pipeline.feeds.reasons import REASONS
from tests.unit.intake.inbox import BRADEN, GOOD, RECEIVED, Inbox

LONG = "9" * 30

# feed, what is changed in a good row, the codes and the columns in step.
DIRTY = [
    ("injuries", {"client_id": ""}, "missing_required", "client_id"),
    ("assessments", {"assessed_at": " "}, "missing_required", "assessed_at"),
    ("actions", {"rule": ""}, "missing_required", "rule"),
    ("clients", {"client_id": "C 4"}, "bad_id", "client_id"),
    ("clients", {"client_id": "123456789"}, "bad_id", "client_id"),
    ("clients", {"client_id": "C" * 65}, "bad_id", "client_id"),
    ("loans", {"device_id": "a/b"}, "bad_id", "device_id"),
    ("circumstances", {"weight_kg": "heavy"}, "not_a_number", "weight_kg"),
    ("circumstances", {"weight_kg": "62,5"}, "not_a_number", "weight_kg"),
    ("assessments", {"recorded_total": "nan"}, "not_a_number", "recorded_total"),
    ("assessments", {"mobility": "two"}, "not_a_number", "mobility"),
    ("circumstances", {"linen_layers": "2.5"}, "not_whole", "linen_layers"),
    ("assessments", {"mobility": "2.5"}, "not_whole", "mobility"),
    ("circumstances", {"observed_on": "26/02/2026"}, "not_a_date", "observed_on"),
    ("circumstances", {"observed_on": "2026-02-30"}, "not_a_date", "observed_on"),
    ("circumstances", {"fell_on": "2026-02-26T10:00"}, "not_a_date", "fell_on"),
    ("circumstances", {"fell_on": "2026-02-26 or so"}, "not_a_date", "fell_on"),
    ("assessments", {"assessed_at": "yesterday"}, "not_a_time", "assessed_at"),
    ("assessments", {"assessed_at": "2026-02-26T09:30 about"}, "not_a_time", "assessed_at"),
    ("assessments", {"assessed_at": "2026-02-26T25:00"}, "not_a_time", "assessed_at"),
    ("assessments", {"assessed_at": "0000-02-26"}, "not_a_time", "assessed_at"),
    ("circumstances", {"traction": "yes"}, "not_true_or_false", "traction"),
    ("circumstances", {"traction": "1"}, "not_true_or_false", "traction"),
    ("clients", {"sex": "F"}, "unknown_code", "sex"),
    ("circumstances", {"declined_what": "lying;standing"}, "unknown_code", "declined_what"),
    ("clients", {"age_years": "121"}, "out_of_range", "age_years"),
    ("circumstances", {"weight_kg": "0.9"}, "out_of_range", "weight_kg"),
    ("circumstances", {"weight_kg": LONG}, "out_of_range", "weight_kg"),
    ("assessments", {"scale": "waterwell"}, "unknown_scale", "scale"),
    ("assessments", {"friction_shear": "4"}, "item_out_of_range", "friction_shear"),
    ("assessments", {"mobility": "0"}, "item_out_of_range", "mobility"),
    ("assessments", {"incontinence": "3"}, "item_of_another_scale", "incontinence"),
    ("assessments", {"incontinence": "none"}, "item_of_another_scale", "incontinence"),
    ("assessments", {"assessed_at": "2026-03-03"}, "date_after_received", "assessed_at"),
    ("loans", {"serviced_on": "2026-03-03"}, "date_after_received", "serviced_on"),
    ("placements", {"ended_at": "2026-03-03"}, "date_after_received", "ended_at"),
    ("clients", {"updated_at": "2026-03-02T06:00:01"}, "updated_after_received", "updated_at"),
]  # fmt: skip


@pytest.mark.parametrize(("feed", "dirt", "codes", "columns"), DIRTY)
def test_a_dirty_cell_holds_its_row_and_no_other(inbox, feed, dirt, codes, columns):
    good = GOOD[feed]
    outcome = inbox.take_one(f"{feed}.csv", [{**good, **dict.fromkeys(dirt, "")} | good, {**good, **dirt}])
    assert (outcome.rows_read, outcome.accepted, outcome.held) == (2, 1, 1)
    [held] = inbox.held(feed)
    assert (held["codes"], held["columns"], held["source_row"]) == (codes, columns, 3)
    [(column, cell)] = dirt.items()
    assert json.loads(held["raw"])[column] == (cell.strip() or None)
    assert outcome.held_by_code == {codes: 1}


def test_every_held_code_has_a_dirty_row_above_or_a_test_below():
    elsewhere = {"wrong_cell_count", "duplicate_id"}
    assert {code for *_, code, _ in DIRTY} | elsewhere == {r.code for r in REASONS.values() if r.kind == "held"}


@pytest.mark.parametrize(
    ("feed", "clean"),
    [
        ("clients", {"client_id": "12345678"}),
        ("clients", {"client_id": "C" * 64, "age_years": "120", "age_months": "60"}),
        ("clients", {"updated_at": "2026-03-02T06:00:00"}),
        ("clients", {"updated_at": "2026-03-02"}),
        ("clients", {"age_years": "79.0"}),
        ("placements", {"started_at": "2026-06-01", "planned_end_on": "2026-07-01"}),
        ("circumstances", {"decline_review_on": "2027-01-01", "observed_on": "2026-03-02"}),
        ("actions", {"review_on": "2027-01-01"}),
        ("circumstances", {"traction": "TRUE", "weight_kg": " 62.5 ", "linen_layers": "2.0"}),
        ("circumstances", {"declined_what": "heel; lying"}),
        ("assessments", {"mobility": ""}),
        ("loans", {"device_id": ""}),
    ],
)
def test_a_limit_itself_a_plan_and_a_blank_are_accepted(inbox, feed, clean):
    outcome = inbox.take_one(f"{feed}.csv", [{**GOOD[feed], **clean}])
    assert (outcome.accepted, outcome.held) == (1, 0)


def test_all_codes_of_a_row_are_kept_in_step(inbox):
    row = {**GOOD["circumstances"], "client_id": "?", "weight_kg": "x", "smoking": "pipe", "linen_layers": "1.5"}
    inbox.take_one("circumstances.csv", [row])
    [held] = inbox.held("circumstances")
    assert held["codes"] == "bad_id;not_a_number;not_whole;unknown_code"
    assert held["columns"] == "client_id;weight_kg;linen_layers;smoking"
    assert (held["record_id"], held["client_id"]) == ("K-1", None)
    assert json.loads(held["raw"]) == row


def test_a_half_step_is_whole_enough_for_a_scale_that_allows_it(inbox):
    row = {"assessment_id": "A-1", "client_id": "C-1", "assessed_at": "2026-02-26", "scale": "halves"}
    inbox.take_one("assessments.csv", [{**row, "half_steps": "1.5"}])
    assert inbox.accepted("assessments")[0]["items"] == "half_steps 1.5"


@pytest.mark.parametrize(
    ("scale", "cells", "reason"),
    [
        ("halves", {"half_steps": "1.2"}, ("item_out_of_range", "half_steps")),
        ("leaps", {"leaps": "4"}, None),
        ("leaps", {"leaps": "5"}, ("item_out_of_range", "leaps")),
        ("leaps", {"leaps": "7"}, ("item_out_of_range", "leaps")),
        ("leaps", {"leaps": "4.5"}, ("not_whole", "leaps")),
        ("leaps", {"leaps": "4", "half_steps": "1"}, ("item_of_another_scale", "half_steps")),
    ],
)
def test_a_score_that_the_scale_leaves_out_is_held(inbox, scale, cells, reason):
    row = {"assessment_id": "A-1", "client_id": "C-1", "assessed_at": "2026-02-26", "scale": scale}
    inbox.take_one("assessments.csv", [{**row, **cells}])
    assert [(row["codes"], row["columns"]) for row in inbox.held("assessments")] == ([reason] if reason else [])


def test_ragged_rows_are_held_and_rows_keep_their_spreadsheet_numbers(inbox):
    text = 'client_id,sex\nC-1,male\nC-2\n\nC-3,female,extra\n"C-\n4",male\nC-5,other\nC-6'
    outcome = inbox.take_one("clients.csv", text)
    assert (outcome.rows_read, outcome.accepted, outcome.held) == (6, 2, 4)
    assert [row["source_row"] for row in inbox.accepted("clients")] == [2, 7]
    held = [(row["source_row"], row["codes"], row["client_id"]) for row in inbox.held("clients")]
    assert held == [
        (3, "wrong_cell_count", "C-2"), (5, "wrong_cell_count", "C-3"), (6, "bad_id", None),
        (8, "wrong_cell_count", "C-6"),
    ]  # fmt: skip


def test_a_ragged_row_keeps_nothing_that_an_unmapped_column_may_have_shifted(inbox):
    inbox.take_one("loans.csv", "loan_id,shelf,client_id,position,surface_class\nL-1,left, MARKER,C-1,lying,foam\n")
    assert json.loads(inbox.held("loans")[0]["raw"]) == {"loan_id": "L-1"}
    assert b"MARKER" not in inbox.everything_written()


def test_one_record_twice_with_different_content_is_held_twice(inbox):
    good = GOOD["assessments"]
    rows = [good, {**good, "mobility": "3"}, {**good, "assessment_id": "A-2"}, {**good, "assessment_id": "A-2"},
            {**good, "assessment_id": "A-3"}, {**good, "assessment_id": "A-3", "updated_at": "2026-02-27"}]  # fmt: skip
    outcome = inbox.take_one("assessments.csv", rows)
    assert (outcome.accepted, outcome.held_by_code) == (4, {"duplicate_id": 2})
    assert [(row["source_row"], row["columns"]) for row in inbox.held("assessments")] == [
        (2, "assessment_id"), (3, "assessment_id"),
    ]  # fmt: skip
    assert len({row["content_key"] for row in inbox.accepted("assessments") if row["assessment_id"] == "A-2"}) == 1


def test_types_of_an_accepted_row(inbox):
    inbox.take_one("assessments.csv", [{**GOOD["assessments"], "recorded_total": "12", "updated_at": "2026-02-26"}])
    [row] = inbox.accepted("assessments")
    assert (row["assessed_at"], row["assessed_at_has_time"]) == (datetime(2026, 2, 26, 9, 30), True)
    assert (row["updated_at"], row["updated_at_has_time"]) == (datetime(2026, 2, 26), False)
    assert (row["recorded_total"], row["recorded_band"], row["source_row"]) == (Decimal(12), None, 2)
    assert row["items"] == "; ".join(f"{item} 2" for item in sorted(BRADEN))
    assert len(row["content_key"]) == 16


# Great Britain is on UTC+1 from 29 March 2026 (European Union and United Kingdom summer time rules).
@pytest.mark.parametrize(
    ("said", "local", "has_time"),
    [
        ("2026-06-01T09:30:00Z", datetime(2026, 6, 1, 10, 30), True),
        ("2026-06-01T09:30+05:30", datetime(2026, 6, 1, 5, 0), True),
        ("2026-01-01 09:30:00.25+0000", datetime(2026, 1, 1, 9, 30, 0, 250000), True),
        ("2026-06-01T09:30", datetime(2026, 6, 1, 9, 30), True),
        ("2026-06-01", datetime(2026, 6, 1), False),
    ],
)
def test_times_are_local_to_the_workspace(tmp_path, said, local, has_time):
    inbox = Inbox(tmp_path, time_zone="Europe/London")
    inbox.take_one(
        "placements.csv", [{**GOOD["placements"], "started_at": said}], received_at=RECEIVED.replace(month=9)
    )
    [row] = inbox.accepted("placements")
    assert (row["started_at"], row["started_at_has_time"]) == (local, has_time)


# 45 CFR 164.514(b)(2), Safe Harbor: ages over 89 may be one class of 90 or more.
@pytest.mark.parametrize(("said", "stored", "capped"), [("89", 89, 0), ("90", 90, 0), ("101", 90, 1)])
def test_ages_above_90_are_stored_as_90_and_counted(inbox, said, stored, capped):
    inbox.take_one("clients.csv", [{"client_id": "C-1", "age_years": said}])
    assert inbox.accepted("clients")[0]["age_years"] == stored
    assert inbox.records("receipts")[0]["age_capped"] == capped


def test_content_is_equal_whatever_the_writing_and_the_blank_columns(inbox):
    inbox.drop("circumstances_a.csv", [{**GOOD["circumstances"], "weight_kg": "62.50", "declined_what": "lying;heel"}])
    inbox.drop("circumstances_b.csv", [{**GOOD["circumstances"], "declined_what": "heel;lying", "weight_kg": "62.5",
                                        "smoking": ""}])  # fmt: skip
    inbox.take()
    assert len({row["content_key"] for row in inbox.accepted("circumstances")}) == 1


def test_a_day_and_its_midnight_are_different_content(inbox):
    inbox.drop("placements_a.csv", [GOOD["placements"]])
    inbox.drop("placements_b.csv", [{**GOOD["placements"], "started_at": "2026-01-01T00:00"}])
    inbox.take()
    assert len({row["content_key"] for row in inbox.accepted("placements")}) == 2


@pytest.mark.parametrize("feed", GOOD)
def test_the_least_row_of_every_feed_is_accepted(inbox, feed):
    outcome = inbox.take_one(f"{feed}.csv", [GOOD[feed]])
    assert (outcome.status, outcome.accepted) == ("taken", 1)


def test_an_empty_week_is_taken_in(inbox):
    outcome = inbox.take_one("clients.csv", "client_id,sex")
    assert (outcome.status, outcome.rows_read) == ("taken", 0)
