"""last_run.json tells what was done and is kept however the command ended."""

import json
from datetime import UTC, datetime, timedelta

import pytest

from pipeline.errors import ChecksDisagree
from pipeline.log import RunLog
from pipeline.run_record import RunRecord, read


@pytest.fixture
def record(tmp_path):
    moments = iter(datetime(2026, 1, 5, tzinfo=UTC) + timedelta(seconds=n) for n in range(100))

    def make(command):
        return RunRecord(tmp_path / "last_run.json", command=command, clock=lambda: next(moments), log=RunLog())

    return make


def test_durations_facts_and_exits_are_kept(record, tmp_path):
    run = record("run")
    with run.kept() as exits:
        with run.step("intake") as facts:
            facts["files"] = 2
        run.published(index_sha256="aa")
        exits.append(16)
    said = json.loads((tmp_path / "last_run.json").read_text())
    assert said["steps"]["intake"] == {"outcome": "done", "seconds": 1.0, "files": 2}
    assert (said["command"], said["exit_code"], said["exits"]) == ("run", 16, [16])
    assert said["published"] == {"index_sha256": "aa"}


def test_a_later_command_keeps_what_it_did_not_do_again(record, tmp_path):
    run = record("run")
    with run.kept(), run.step("intake"):
        run.published(index_sha256="aa", warehouse_sha256="bb")
    report = record("report")
    with report.kept(), report.step("report"):
        report.published(index_sha256="cc")
    said = read(tmp_path / "last_run.json")
    assert sorted(said["steps"]) == ["intake", "report"]
    assert said["published"] == {"index_sha256": "cc", "warehouse_sha256": "bb"}


@pytest.mark.parametrize(
    ("error", "code"), [(ChecksDisagree(what="Two rows."), 13), (KeyError("x"), 1), (KeyboardInterrupt(), 130)]
)
def test_a_command_that_fails_is_recorded_too(record, tmp_path, error, code):
    run = record("run")
    with pytest.raises(type(error)), run.kept(), run.step("review"):
        raise error
    said = read(tmp_path / "last_run.json")
    assert (said["exit_code"], said["steps"]["review"]["outcome"]) == (code, "failed")


def test_a_record_that_cannot_be_read_is_an_empty_one(tmp_path):
    (tmp_path / "last_run.json").write_text("{half")
    assert read(tmp_path / "last_run.json") == {}
    assert read(tmp_path / "none.json") == {}
