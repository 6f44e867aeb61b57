"""The feed table, the schemas and the reasons that are made from it."""

import csv
from decimal import Decimal

import pandas as pd
import pytest

from pipeline.feeds.columns import FEEDS, TABLE, arrow_schema
from pipeline.feeds.reasons import KINDS, REASONS
from pipeline.feeds.schemas import FLAGS, failures, schema_for
from pipeline.feeds.store_layout import Arrival, Receipt, Refusal, read_receipts

IDS = {
    "clients": "client_id", "placements": "placement_id", "assessments": "assessment_id",
    "circumstances": "circumstances_id", "injuries": "injury_observation_id", "loans": "loan_id",
    "actions": "action_id", "merges": "old_client_id",
}  # fmt: skip


def test_every_row_of_the_table_is_a_column():
    with TABLE.open(encoding="utf-8", newline="") as lines:
        rows = [(row["feed"], row["column"], row["type"]) for row in csv.DictReader(lines)]
    assert rows == [(feed.name, column.name, column.type) for feed in FEEDS.values() for column in feed.columns]


def test_ids():
    assert {feed.name: feed.id_column for feed in FEEDS.values()} == IDS
    assert all(feed.column("client_id").required for feed in FEEDS.values())


def test_a_column_says_its_range_codes_unit_and_plan():
    weight, status = FEEDS["circumstances"].column("weight_kg"), FEEDS["clients"].column("record_status")
    assert (weight.low, weight.high, weight.unit, weight.meaning) == (Decimal(1), Decimal(400), "kg", "")
    assert status.codes == ("final", "amended", "entered-in-error")
    assert FEEDS["circumstances"].column("longest_sit_min").unit == "min"
    assert FEEDS["circumstances"].column("hip_width_cm").meaning == "widest seated"
    planned = {column.name for feed in FEEDS.values() for column in feed.columns if column.is_planned}
    assert planned == {"planned_end_on", "review_on", "decline_review_on"}
    with pytest.raises(KeyError):
        FEEDS["clients"].column("nothing")


def test_the_event_of_each_feed():
    events = {feed.name: feed.event_column for feed in FEEDS.values()}
    assert events == {
        "clients": "updated_at", "placements": "started_at", "assessments": "assessed_at",
        "circumstances": "observed_on", "injuries": "observed_at", "loans": "updated_at", "actions": "acted_on",
        "merges": "merged_on",
    }  # fmt: skip


@pytest.mark.parametrize("feed", FEEDS)
def test_the_parquet_schema_holds_every_column_and_how_sure_each_time_is(feed):
    names = arrow_schema(FEEDS[feed]).names
    for column in FEEDS[feed].fixed:
        assert column.name in names
        assert (f"{column.name}_has_time" in names) is (column.type == "timestamp")
    assert names[-3:] == ["file_key", "source_row", "content_key"]
    assert ("items" in names) is (feed == "assessments")


def frame(feed, **cells):
    row = {name: [value] for name, value in (cells | dict.fromkeys(FLAGS, True)).items()}
    return pd.DataFrame(row, index=[7])


@pytest.mark.parametrize("feed", FEEDS)
def test_every_code_and_limit_of_the_table_passes_and_its_neighbour_fails(feed):
    for column in FEEDS[feed].fixed:
        schema = schema_for(FEEDS[feed], columns=[column.name], scales=["braden"])
        good, bad, code = _cases(column)
        for value in good:
            assert failures(schema, frame(feed, **{column.name: value})).empty, (column.name, value)
        for value in bad:
            found = failures(schema, frame(feed, **{column.name: value})).to_dict("records")
            assert found == [{"source_row": 7, "code": code, "column": column.name}], (column.name, value)


def _cases(column):
    if column.low is not None:
        low, high = float(column.low), float(column.high)
        return [low, high], [low - 0.01, high + 0.01], "out_of_range"
    if column.type in ("code", "codes") and column.codes:
        return column.codes, ["no_such_code", column.codes[0].upper()], "unknown_code"
    if column.type == "codes":
        return [";".join(column.codes)], ["lying;", "lying;x"], "unknown_code"
    return [], [], ""


def test_a_fault_of_the_whole_frame_is_a_bug_and_says_no_value():
    schema = schema_for(FEEDS["clients"], columns=["client_id", "age_years"], scales=[])
    with pytest.raises(RuntimeError) as caught:
        failures(schema, frame("clients", client_id="C-1", age_years="MARKER"))
    assert "MARKER" not in str(caught.value)
    assert caught.value.__cause__ is None


def test_every_reason_is_a_sentence_somebody_can_act_on():
    assert {reason.kind for reason in REASONS.values()} == set(KINDS)
    for code, reason in REASONS.items():
        assert code == code.lower().replace(" ", "_")
        assert reason.title[0].isupper()
        assert reason.meaning.endswith(".")
        assert reason.mended_by


def test_records_survive_their_json(tmp_path):
    receipt = Receipt(
        receipt_version=1, file_id="a" * 64, file_name="clients.csv", bytes=1, source="default", feed="clients",
        received_at="2026-03-02T06:00:00Z", contract="b" * 64, software_version="0", rows_read=2, accepted=1, held=1,
        held_by_code={"bad_id": 1}, columns_used=("client_id",), columns_dropped=(), first_on=None, last_on=None,
        accepted_sha256="c", held_sha256="d",
    )  # fmt: skip
    arrival = Arrival("a" * 64, "clients", "default", "b" * 64, "clients.csv", 5, "2026-03-02T06:00:00Z")
    refusal = Refusal("a" * 64, "x.csv", "default", "", "", "unknown_feed", "2026-03-02T06:00:00Z")
    for record in (receipt, arrival, refusal):
        assert type(record).from_json(record.to_json()) == record
    assert receipt.file_key == arrival.file_key == "a" * 64 + "-bbbbbbbb"
    later = receipt.to_json().replace(b'"bytes"', b'"of_a_later_version": 1, "bytes"')
    assert Receipt.from_json(later) == receipt
    (tmp_path / "receipts").mkdir()
    (tmp_path / "receipts" / ".unfinished.json.tmp").write_text("{")
    (tmp_path / "receipts" / "one.json").write_bytes(receipt.to_json())
    assert read_receipts(tmp_path) == [receipt]
