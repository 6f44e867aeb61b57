"""What a query gives: text for people, spreadsheets and programs, or a file, whole or not at all."""

import json

import pyarrow.parquet as pq
import pytest
from click.testing import CliRunner

from pipeline.asking import running
from pipeline.cli import main
from pipeline.errors import NoWarehouse, QueryRefused

EVERYBODY = "SELECT client_id, age_years, is_adult, seen_on, change, note FROM audit.people ORDER BY client_id"


def test_csv_keeps_numbers_and_guards_formulas_in_cells_and_headings(ask):
    assert ask(EVERYBODY) == (
        "client_id,age_years,is_adult,seen_on,change,note\n"
        "C-1,79,true,2026-03-02,-1.50,'=1+1\n"
        "C-2,,false,,2.25,quiet\n"
    )
    assert ask("""SELECT '@a' AS "=b", -1 AS "+c" """) == "'=b,'+c\n'@a,-1\n"
    assert ask.rows == 1


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_every_start_of_a_formula_is_guarded(start, ask):
    assert ask(f"SELECT chr({ord(start)}) || '1' AS a").splitlines()[1].lstrip('"').startswith("'")


def test_json_keeps_types(ask):
    assert json.loads(ask(EVERYBODY, form="json")) == [
        {"client_id": "C-1", "age_years": 79, "is_adult": True, "seen_on": "2026-03-02", "change": -1.5,
         "note": "=1+1"},
        {"client_id": "C-2", "age_years": None, "is_adult": False, "seen_on": None, "change": 2.25, "note": "quiet"},
    ]  # fmt: skip
    assert json.loads(ask("SELECT sum(1) AS n, 'inf'::DOUBLE AS x, [1.5] AS l", form="json")) == [
        {"n": 1, "x": None, "l": [1.5]}
    ]


def test_a_table_is_aligned_and_cannot_steer_a_terminal(ask):
    shown = ask("SELECT 'a' || chr(27) || '[31m' AS x, 12 AS n", form="table")
    assert shown.splitlines() == ["x          n", "---------  --", "a\\x1b[31m  12"]


def test_no_rows_are_an_answer_too(ask):
    nobody = "SELECT client_id FROM audit.people WHERE client_id IS NULL"
    assert ask(nobody) == "client_id\n"
    assert ask(nobody, form="table") == "client_id\n---------\n"
    assert json.loads(ask(nobody, form="json")) == []
    assert ask.rows == 0


def test_two_columns_of_one_name_both_arrive(ask):
    twice = "SELECT a.client_id, b.client_id FROM audit.people AS a CROSS JOIN audit.people AS b WHERE a.note = 'quiet'"
    assert ask(twice).splitlines()[0] == "client_id,client_id_1"
    assert {tuple(row) for row in json.loads(ask(twice, form="json"))} == {("client_id", "client_id_1")}


def test_many_rows_pass_in_batches(ask, monkeypatch):
    seen = []
    monkeypatch.setattr(running, "BATCH_ROWS", 100)
    kept = running._batches

    def watched(*given, **named):
        for batch in kept(*given, **named):
            seen.append(batch.num_rows)
            yield batch

    monkeypatch.setattr(running, "_batches", watched)
    lines = ask("SELECT range AS n FROM range(1000) ORDER BY n").splitlines()
    assert lines == ["n", *map(str, range(1000))]
    assert max(seen) <= 100


def test_parquet_goes_into_a_file(ask, tmp_path):
    out = tmp_path / "people.parquet"
    assert ask(EVERYBODY, form="parquet", out=out) == ""
    assert pq.read_table(out).column("client_id").to_pylist() == ["C-1", "C-2"]
    assert ask.rows == 2


@pytest.mark.parametrize("form", ["csv", "json", "table", "parquet"])
def test_a_file_appears_whole_or_not_at_all(form, ask, tmp_path):
    out = tmp_path / "answer"
    with pytest.raises(QueryRefused):
        ask("SELECT CASE WHEN range = 90000 THEN error('x') END AS e FROM range(100000)", form=form, out=out)
    assert [path.name for path in tmp_path.iterdir()] == ["ws"]
    ask(EVERYBODY, form=form, out=out)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["answer", "ws"]


def test_what_parquet_cannot_hold_is_said(ask, tmp_path):
    with pytest.raises(QueryRefused, match="Parquet has no type"):
        ask("SELECT INTERVAL 1 DAY AS i", form="parquet", out=tmp_path / "x.parquet")


def test_an_error_that_comes_late_does_not_quote_its_cell(ask):
    with pytest.raises(QueryRefused, match=r"Invalid Input Error") as late:
        ask("SELECT CASE WHEN range = 90000 THEN error('Jane') END AS e FROM range(100000)")
    assert "Jane" not in str(late.value)


@pytest.mark.parametrize("own", ["warehouse.duckdb", "caseround.toml", "last_run.json", "store/x.csv", "inbox/x.csv"])
def test_the_workspace_is_not_written_over(own, ask, workspace):
    before = workspace.warehouse.read_bytes()
    with pytest.raises(QueryRefused, match="own files"):
        ask(EVERYBODY, out=workspace.root / own)
    assert workspace.warehouse.read_bytes() == before


def run(workspace, *words, **given):
    return CliRunner().invoke(main, ["query", "--workspace", str(workspace.root), *words], **given)


def test_a_query_comes_as_text_from_a_file_or_from_stdin(workspace, tmp_path):
    (tmp_path / "q.sql").write_text("-- how many?\nSELECT count(*) AS n FROM audit.people\n")
    count = "SELECT count(*) AS n FROM audit.people"
    for answered in (run(workspace, count, "--format", "csv"),
                     run(workspace, "--file", str(tmp_path / "q.sql"), "--format", "csv"),
                     run(workspace, "--file", "-", "--format", "csv", input=count)):  # fmt: skip
        assert (answered.exit_code, answered.stdout, answered.stderr) == (0, "n\n2\n", "1 row.\n")


def test_the_answer_says_where_it_was_written(workspace, tmp_path):
    answered = run(workspace, EVERYBODY, "--format", "csv", "--out", str(tmp_path / "a.csv"))
    assert (answered.exit_code, answered.stdout) == (0, "")
    assert answered.stderr == f"2 rows written to {tmp_path / 'a.csv'}.\n"


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("SELECT 1 AS a", "--file", "-"),
        ("SELECT 1 AS a", "--format", "parquet"),
        ("SELECT 1 AS a", "--format", "xml"),
        ("SELECT 1 AS a", "--out", "no-such-folder/a.csv"),
        ("SELECT 1 AS a", "--seconds", "0"),
        ("DROP TABLE audit.people",),
        ("SELECT nothing FROM audit.people",),
        ("SELEC",),
    ],
)
def test_what_cannot_be_asked_ends_with_2(words, workspace):
    before = sorted(workspace.root.rglob("*"))
    ended = run(workspace, *words)
    assert (ended.exit_code, ended.stdout) == (2, "")
    assert sorted(workspace.root.rglob("*")) == before


def test_without_a_warehouse_there_is_nothing_to_ask(workspace, ask):
    workspace.warehouse.unlink()
    with pytest.raises(NoWarehouse):
        ask("SELECT 1 AS a")
    assert run(workspace, "SELECT 1 AS a").exit_code == 15
