"""Codes in an export of wounds: what they fill, what they replace, what is noted and what is held."""

import json

import pytest

from pipeline.feeds import wound_codes
from pipeline.feeds.columns import FEEDS
from pipeline.intake.mapping import contract_of
from tests.unit.intake.inbox import GOOD, Inbox, source

BARE = {name: cell for name, cell in GOOD["injuries"].items() if name not in ("location", "stage")}
BLANK = {"location": "", "side": "", "stage": "", "icd10_code": ""}


def read(inbox: Inbox, cells: dict[str, str]) -> tuple[str | None, str | None, str | None]:
    inbox.take_one("injuries.csv", [{**BARE, **BLANK, **cells}])
    [row] = inbox.accepted("injuries")
    return row["location"], row["side"], row["stage"]


# ICD-10-CM: L89.154 is a stage 4 of the sacral region, L89.621 a stage 1 of the left heel, L89.159 has no stage.
@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"icd10_code": "L89.154"}, ("sacrum", None, "stage_4")),
        ({"icd10_code": "L89621"}, ("heel", "left", "stage_1")),
        ({"icd10_code": "l89.621"}, ("heel", "left", "stage_1")),
        ({"icd10_code": "L89.159"}, ("sacrum", None, "not_staged")),
        ({"icd10_code": "L89.93"}, ("not_recorded", None, "stage_3")),
        ({"stage": "L89.621"}, ("heel", "left", "stage_1")),
        ({"location": "L89.621"}, ("heel", "left", "stage_1")),
        ({"side": "L89.621"}, ("heel", "left", "stage_1")),
        ({"side": "L89.154"}, ("sacrum", None, "stage_4")),
        ({"location": "L89.621", "side": "L89.621", "stage": "L89.621"}, ("heel", "left", "stage_1")),
        ({"location": "foot", "side": "right", "stage": "stage_2", "icd10_code": "L89.621"},
         ("foot", "right", "stage_2")),
        ({"location": "foot", "icd10_code": "L89.621"}, ("foot", "left", "stage_1")),
        ({"stage": "L89.154", "icd10_code": "L89.621"}, ("heel", "left", "stage_4")),
        ({"location": "sacrum", "stage": "1163224003"}, ("sacrum", None, "stage_4")),
        ({"location": "sacrum", "stage": "420597008"}, ("sacrum", None, "stage_4")),
        ({"stage": "420597008", "icd10_code": "L89.621"}, ("heel", "left", "stage_4")),
    ],
)  # fmt: skip
def test_a_code_fills_what_is_blank_and_speaks_for_its_own_cell(inbox, cells, words):
    assert read(inbox, cells) == words


def test_a_column_of_codes_stands_for_the_columns_that_it_fills(inbox):
    outcome = inbox.take_one("injuries.csv", [{**BARE, "icd10_code": "L89.154"}])
    assert (outcome.accepted, outcome.held) == (1, 0)
    assert inbox.records("receipts")[0]["columns_used"] == [*list(BARE)[:4], "icd10_code"]


def test_without_codes_the_columns_are_still_required(inbox):
    outcome = inbox.take_one("injuries.csv", [BARE])
    assert (outcome.code, outcome.columns) == ("missing_column", ("location", "stage"))


def test_a_code_is_kept_as_it_is_published_and_makes_no_new_version_without_its_dot(inbox):
    inbox.drop("injuries_a.csv", [{**BARE, "icd10_code": "L89.154"}])
    inbox.drop("injuries_b.csv", [{**BARE, "icd10_code": "l89154"}])
    inbox.take()
    rows = inbox.accepted("injuries")
    assert ({row["icd10_code"] for row in rows}, len({row["content_key"] for row in rows})) == ({"L89.154"}, 1)


@pytest.mark.parametrize(
    ("cells", "codes", "columns"),
    [
        ({"icd10_code": "L89.71"}, "missing_required;missing_required;unknown_code", "location;stage;icd10_code"),
        ({"icd10_code": "L89.15", "location": "sacrum", "stage": "stage_4"}, "unknown_code", "icd10_code"),
        ({"icd10_code": "420597008", "location": "sacrum", "stage": "stage_4"}, "unknown_code", "icd10_code"),
        ({"stage": "L89.155", "location": "sacrum"}, "unknown_code", "stage"),
        ({"stage": "420597009", "location": "sacrum"}, "unknown_code", "stage"),
        ({"location": "420597008", "stage": "stage_4"}, "unknown_code", "location"),
        ({"stage": "420597008"}, "missing_required", "location"),
    ],
)
def test_a_code_that_no_table_holds_is_held_and_never_guessed(inbox, cells, codes, columns):
    outcome = inbox.take_one("injuries.csv", [{**BARE, **BLANK, **cells}])
    [held] = inbox.held("injuries")
    assert (outcome.accepted, held["codes"], held["columns"]) == (0, codes, columns)
    assert {name: cell for name, cell in json.loads(held["raw"]).items() if name in cells} == cells


@pytest.mark.parametrize(
    ("cells", "notes"),
    [
        ({"location": "sacrum", "stage": "1163224003"}, {}),
        ({"location": "sacrum", "stage": "420597008"}, {"inactive_code:stage:420597008": 1}),
        ({"location": "sacrum", "stage": "stage_3", "icd10_code": "L89154"}, {"code_disagrees:stage:L89.154": 1}),
        ({"location": "heel", "stage": "stage_4", "icd10_code": "L89.154"}, {"code_disagrees:location:L89.154": 1}),
        ({"location": "heel", "side": "right", "stage": "stage_1", "icd10_code": "L89.621"},
         {"code_disagrees:side:L89.621": 1}),
        ({"location": "sacrum", "stage": "L89.621"}, {"code_disagrees:location:L89.621": 1}),
        # The tailbone is a part of the sacral region, and an unspecified stage or site contradicts nothing.
        ({"location": "coccyx", "side": "midline", "stage": "stage_4", "icd10_code": "L89.154"}, {}),
        ({"location": "coccyx", "stage": "stage_3", "icd10_code": "L89.159"}, {}),
        ({"location": "heel", "stage": "stage_3", "icd10_code": "L89.93"}, {}),
        ({"location": "sacrum", "stage": "not_staged", "icd10_code": "L89.154"}, {"code_disagrees:stage:L89.154": 1}),
    ],
)  # fmt: skip
def test_what_a_reader_should_know_is_counted(inbox, cells, notes):
    inbox.take_one("injuries.csv", [{**BARE, **BLANK, **cells}])
    assert inbox.records("receipts")[0]["codes_noted"] == notes


def test_notes_are_counted_over_accepted_rows_only(inbox):
    row = {**BARE, "location": "heel", "stage": "420597008"}
    inbox.take_one("injuries.csv", [{**row, "injury_observation_id": name} for name in ("O-1", "O-2", "?")])
    assert inbox.records("receipts")[0]["codes_noted"] == {"inactive_code:stage:420597008": 2}


def test_a_concept_that_looks_like_a_national_number_does_not_refuse_the_file(inbox):
    # 1163215007 passes the NHS number's check digit by chance; the row is held for its location and kept as text.
    row = {**BARE, "location": "nowhere", "stage": "1163215007"}
    assert inbox.take_one("injuries.csv", [row]).held == 1
    assert inbox.take_one("injuries_2.csv", [{**row, "location": "1163215007"}]).code == "identity_value"


def test_a_source_recodes_before_codes_are_read(tmp_path):
    codes = {"icd10_code": {"none": ""}, "stage": {"IV": "L89.154"}}
    inbox = Inbox(tmp_path, sources=(source(feed="injuries", match="bureau.csv", codes=codes),))
    inbox.take_one("bureau.csv", [{**BARE, **BLANK, "stage": "IV", "icd10_code": "none"}])
    [row] = inbox.accepted("injuries")
    assert (row["location"], row["stage"], row["icd10_code"]) == ("sacrum", "stage_4", None)


def test_other_tables_are_another_contract_of_the_wounds_only(monkeypatch):
    def contracts() -> list[str]:
        return [contract_of(FEEDS[feed], source=None, scales={}, zone="UTC") for feed in ("injuries", "loans")]

    before = contracts()
    monkeypatch.setattr(wound_codes, "TABLES", wound_codes.TABLES[:2])
    injuries, loans = contracts()
    assert (injuries == before[0], loans == before[1]) == (False, True)
