"""The log holds numbers, codes and names, one JSON object per line."""

import json
from datetime import UTC, datetime

import pytest

from pipeline.log import RunLog


def test_an_event_is_one_json_line_with_the_time_that_was_passed_in(tmp_path):
    log = RunLog(tmp_path / "run.jsonl", lambda: datetime(2026, 1, 5, 6, tzinfo=UTC))
    log.event("file_taken", file="loans.csv", rows=12, share=0.5, late=None, known=False)
    log.event("second")
    lines = [json.loads(line) for line in (tmp_path / "run.jsonl").read_text().splitlines()]
    assert lines[0] == {
        "at": "2026-01-05T06:00:00.000+00:00",
        "event": "file_taken",
        "file": "loans.csv",
        "rows": 12,
        "share": 0.5,
        "late": None,
        "known": False,
    }
    assert lines[1]["event"] == "second"


@pytest.mark.parametrize("fact", [["a row"], {"cell": "value"}, object(), datetime(2026, 1, 5, tzinfo=UTC)])
def test_anything_that_could_carry_a_row_is_refused(tmp_path, fact):
    with pytest.raises(TypeError, match="only numbers and codes"):
        RunLog(tmp_path / "run.jsonl").event("row", fact=fact)
    assert not (tmp_path / "run.jsonl").exists()


def test_without_a_path_nothing_is_kept():
    RunLog().event("anything", rows=1)


def test_the_last_moment_of_each_event_is_kept_for_durations():
    log = RunLog(None, lambda: datetime(2026, 1, 5, 6, tzinfo=UTC))
    log.event("store_read")
    assert log.moments == {"store_read": datetime(2026, 1, 5, 6, tzinfo=UTC)}
