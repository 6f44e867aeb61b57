"""The invented caseload: same seed, same bytes; rows that an export could hold; every fault in its place."""

import csv
import re
from collections import Counter
from datetime import datetime, time
from pathlib import Path

import pytest

from pipeline.feeds.columns import FEEDS, TABLE
from pipeline.resources import sample_dir
from pipeline.sample import write_benchmark, write_sample
from pipeline.scenario.frailty import ITEMS

FEEDS_FOLDER = TABLE.parent
ROWS_OF_ITEMS = {item for items in ITEMS.values() for item in items}


def files_below(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


def rows_of(folder: Path):
    """(drop day, feed, row) for every row of every file; a cell beyond the headings stands under None."""
    for path in sorted((folder / "drops").glob("*/*.csv")):
        if "again" in path.stem:
            continue
        with path.open(encoding="utf-8", newline="") as sheet:
            for row in csv.DictReader(sheet):
                yield path.parent.name, path.stem, row


def faults_of(folder: Path) -> list[dict[str, str]]:
    with (folder / "planted_faults.csv").open(encoding="utf-8", newline="") as sheet:
        return list(csv.DictReader(sheet))


def spoilt(folder: Path) -> set[tuple[str, str, str]]:
    """(drop, feed, record) of rows that intake must hold or that wait."""
    return {
        (f["drop"], f["feed"], f["record_id"]) for f in faults_of(folder) if f["kind"] in ("held", "waiting", "version")
    }


@pytest.fixture(scope="module")
def middling(tmp_path_factory) -> Path:
    """Sixty people over eight months: large enough for every kind of row, quick to make."""
    out = tmp_path_factory.mktemp("middling")
    write_sample(out, people=60, months=8, seed=11)
    return out


def test_the_same_arguments_give_the_same_bytes(middling, tmp_path):
    write_sample(tmp_path / "again", people=60, months=8, seed=11)
    write_sample(tmp_path / "other", people=60, months=8, seed=12)
    assert files_below(tmp_path / "again") == files_below(middling)
    assert files_below(tmp_path / "other") != files_below(middling)


@pytest.mark.parametrize(("people", "months"), [(1, 1), (7, 3), (25, 30)])
def test_any_size(tmp_path, people, months):
    made = write_sample(tmp_path, people=people, months=months, seed=5)
    assert made.people >= people
    assert {feed for _, feed, _ in rows_of(tmp_path)} == set(made.rows)
    assert made.rows["clients"] >= people


@pytest.mark.parametrize("wrong", [{"people": 0}, {"months": 0}, {"weekly": 0}, {"format": "ods"}])
def test_a_size_or_format_that_cannot_be_is_refused_before_anything_is_written(tmp_path, wrong):
    with pytest.raises(ValueError):
        write_sample(tmp_path / "out", **({"people": 5, "months": 2, "seed": 1} | wrong))
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("format", ["jsonl", "parquet"])
def test_other_formats_hold_the_same_rows(tmp_path, format):
    as_csv = write_sample(tmp_path / "csv", people=8, months=4, seed=3)
    other = write_sample(tmp_path / format, people=8, months=4, seed=3, format=format)
    assert other.rows == as_csv.rows
    assert other.drops == as_csv.drops
    assert {path.suffix for path in (tmp_path / format / "drops").glob("*/*")} == {f".{format}"}


def test_progress_hears_how_many_of_how_many(tmp_path):
    heard = []
    write_sample(tmp_path, people=6, months=2, seed=4, progress=lambda what, done, of: heard.append((what, done, of)))
    assert {what for what, _, _ in heard} == {"people", "files"}
    assert all(done <= of for _, done, of in heard)


def test_cells_are_what_the_feed_table_allows_unless_planted(middling):
    planted = spoilt(middling)
    wrong = []
    for drop, feed, row in rows_of(middling):
        if (drop, feed, row[FEEDS[feed].id_column]) in planted:
            continue
        for column in FEEDS[feed].fixed:
            cell = row.get(column.name) or ""
            if (column.required and not cell) or not allowed(cell, column):
                wrong.append((drop, feed, row[FEEDS[feed].id_column], column.name, cell))
        if set(row) - {column.name for column in FEEDS[feed].fixed} - ROWS_OF_ITEMS:
            wrong.append((drop, feed, "heading"))
    assert wrong == []


def allowed(cell: str, column) -> bool:
    if not cell:
        return True
    if column.type == "code":
        return not column.codes or cell in column.codes
    if column.type == "codes":
        return set(cell.split(";")) <= set(column.codes)
    if column.type == "boolean":
        return cell in ("true", "false")
    if column.type in ("integer", "number"):
        within = re.fullmatch(r"-?\d+(\.\d+)?", cell) and (
            column.low is None or column.low <= float(cell) <= column.high
        )
        return bool(within) and (column.type == "number" or "." not in cell)
    if column.is_dated:
        return len(cell) in ((10,) if column.type == "date" else (10, 16)) and bool(datetime.fromisoformat(cell))
    return True


def test_nothing_has_the_shape_of_an_identity(middling):
    # Nine or more digits in a row could be a national number; an @ or a + before digits an address or a phone.
    for _, _, row in rows_of(middling):
        for cell in row.values():
            for text in cell if isinstance(cell, list) else [cell or ""]:
                assert not re.search(r"\d{9,}|@|\+\d|\d{3}-\d{2}-\d{4}", text), text


def test_an_export_knows_nothing_that_comes_after_it(middling):
    planted = spoilt(middling)
    for drop, feed, row in rows_of(middling):
        if (drop, feed, row[FEEDS[feed].id_column]) in planted:
            continue
        drawn = datetime.combine(datetime.fromisoformat(drop), time(6))
        assert datetime.fromisoformat(row["updated_at"]) <= drawn
        for column in FEEDS[feed].fixed:
            if column.is_dated and not column.is_planned and row.get(column.name):
                assert datetime.fromisoformat(row[column.name]) <= drawn, (drop, feed, column.name, row[column.name])


def test_an_id_is_one_record_of_one_person(middling):
    planted = {(feed, record) for _, feed, record in spoilt(middling)}
    owners: dict[tuple[str, str], set[str]] = {}
    for _, feed, row in rows_of(middling):
        key = (feed, row[FEEDS[feed].id_column])
        if key not in planted and feed != "merges":
            owners.setdefault(key, set()).add(row["client_id"])
    assert {key: owner for key, owner in owners.items() if len(owner) > 1} == {}


def test_every_planted_fault_lies_in_the_file_that_the_list_names(middling):
    sent = {(drop, feed, row[FEEDS[feed].id_column]) for drop, feed, row in rows_of(middling)}
    faults = [fault for fault in faults_of(middling) if fault["record_id"]]
    assert len(faults) > 30
    assert [fault for fault in faults if (fault["drop"], fault["feed"], fault["record_id"]) not in sent] == []


def test_wrong_totals_and_missing_items_are_exactly_the_listed_ones(middling):
    listed = {(f["record_id"], f["expected"]) for f in faults_of(middling) if f["kind"] == "score"}
    found = set()
    held = spoilt(middling)
    for drop, feed, row in rows_of(middling):
        if feed != "assessments" or (drop, feed, row["assessment_id"]) in held:
            continue
        items = [row[item] for item in ITEMS[row["scale"]]]
        if all(items) and row["recorded_total"] and sum(map(int, items)) != int(row["recorded_total"]):
            found.add((row["assessment_id"], "total_differs"))
        if any(items) and not all(items):
            found.add((row["assessment_id"], "incomplete"))
    assert found == {entry for entry in listed if entry[1] in ("total_differs", "incomplete")}


def test_benchmark_rows_are_as_many_as_asked_for_and_repeat(tmp_path):
    first = write_benchmark(tmp_path / "a", people=200, assessments=5000, seed=1)
    write_benchmark(tmp_path / "b", people=200, assessments=5000, seed=1)
    assert first.rows["clients"] == 200
    late = first.rows["assessments"] - 5000
    assert 0.02 < late / 5000 < 0.04
    assert files_below(tmp_path / "a") == files_below(tmp_path / "b")
    (path,) = (tmp_path / "a").glob("*/assessments.csv")
    with path.open(encoding="utf-8", newline="") as sheet:
        ids = Counter(row["assessment_id"] for row in csv.DictReader(sheet))
    assert len(ids) == 5000
    assert sum(ids.values()) == first.rows["assessments"]


def test_the_committed_caseload_is_what_its_readme_says_it_was_made_with(tmp_path):
    write_sample(tmp_path, people=240, months=18, seed=2026)
    assert files_below(tmp_path / "drops") == files_below(sample_dir() / "drops")
    assert (tmp_path / "planted_faults.csv").read_bytes() == (sample_dir() / "planted_faults.csv").read_bytes()


# What the shipped caseload must look like to be believed: wide bands, common practice and no source.
LAST_DAY = "2026-03-02"


@pytest.fixture(scope="module")
def shipped() -> dict[str, dict[str, dict[str, str]]]:
    """Feed to record to its newest row, leaving out what must be held or waits."""
    planted = spoilt(sample_dir())
    newest: dict[str, dict[str, dict[str, str]]] = {feed: {} for feed in FEEDS}
    for drop, feed, row in rows_of(sample_dir()):
        record = row[FEEDS[feed].id_column]
        if (drop, feed, record) not in planted:
            known = newest[feed].get(record)
            if known is None or row["updated_at"] >= known["updated_at"]:
                newest[feed][record] = row
    return newest


@pytest.fixture(scope="module")
def on_caseload(shipped) -> set[str]:
    return {row["client_id"] for row in shipped["placements"].values() if not row["ended_at"]}


def test_about_240_people_are_on_the_shipped_caseload(on_caseload):
    assert 225 <= len(on_caseload) <= 250


def test_one_in_seven_has_an_open_pressure_injury(shipped, on_caseload):
    last: dict[str, dict[str, str]] = {}
    for row in sorted(shipped["injuries"].values(), key=lambda row: row["observed_at"]):
        last[row["injury_id"]] = row
    sore = {row["client_id"] for row in last.values() if row["status"] == "open" and row["cause"] in ("", "pressure")}
    assert 0.12 <= len(sore & on_caseload) / len(on_caseload) <= 0.18


def test_few_were_never_scored_and_most_lately(shipped, on_caseload):
    last: dict[str, str] = {}
    for row in shipped["assessments"].values():
        last[row["client_id"]] = max(last.get(row["client_id"], ""), row["assessed_at"][:10])
    never = on_caseload - set(last)
    lately = [client for client in on_caseload if last.get(client, "") >= "2025-11-30"]
    assert 1 <= len(never) <= 0.03 * len(on_caseload)
    assert len(lately) >= 0.9 * len(on_caseload)


def test_wounds_heal_and_some_get_worse(shipped):
    looks: dict[str, list[dict[str, str]]] = {}
    for row in sorted(shipped["injuries"].values(), key=lambda row: row["observed_at"]):
        looks.setdefault(row["injury_id"], []).append(row)
    closed = [wound for wound in looks.values() if wound[-1]["status"] == "closed"]
    deeper = [wound for wound in looks.values() if (wound[0]["stage"], wound[-1]["stage"]) == ("stage_2", "stage_3")]
    assert len(closed) > 0.6 * len(looks)
    assert deeper


def test_surfaces_wait_and_are_returned(shipped, on_caseload):
    loans = shipped["loans"].values()
    waiting = {row["client_id"] for row in loans if row["loan_status"] == "requested" and not row["issued_on"]}
    assert 3 <= len(waiting & on_caseload) <= 25
    assert sum(row["loan_status"] == "returned" for row in loans) > 100
    assert {row["surface_class"] for row in loans} >= {"foam", "alternating_air", "hybrid_powered", "cushion_air"}


def test_held_rows_are_few_in_each_shipped_file():
    rows = Counter((drop, feed) for drop, feed, _ in rows_of(sample_dir()))
    held = Counter((f["drop"], f["feed"]) for f in faults_of(sample_dir()) if f["kind"] == "held")
    # Contract of intake: a file of at least 50 rows is refused above a fifth.
    assert [key for key in rows if rows[key] >= 50 and held[key] > 0.05 * rows[key]] == []


def test_every_reason_to_hold_to_wait_or_to_refuse_has_its_example():
    with (FEEDS_FOLDER / "reasons.csv").open(encoding="utf-8", newline="") as sheet:
        reasons = {row["code"]: row["kind"] for row in csv.DictReader(sheet)}
    planted = {fault["expected"] for fault in faults_of(sample_dir()) if fault["kind"] in ("held", "waiting")}
    assert planted == {code for code, kind in reasons.items() if kind in ("held", "waiting")}
    folders = {path.name for path in (sample_dir() / "refused").iterdir()}
    # A day in the file's name is asked for only by a source's own settings, which a file alone cannot carry.
    assert {code for code, kind in reasons.items() if kind == "refused"} - folders == {"no_date_in_name"}


def test_loans_fall_silent_eleven_days_before_the_end():
    days = sorted({drop for drop, feed, _ in rows_of(sample_dir()) if feed == "loans"})
    assert days[-2:] == ["2026-02-09", "2026-02-19"]
    assert max(drop for drop, _, _ in rows_of(sample_dir())) == LAST_DAY
