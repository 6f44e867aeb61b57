"""A warehouse of another version, or a damaged one: a command that reads it says what is wrong and what mends it."""

import duckdb
import pytest
from click.testing import CliRunner

from pipeline.cli import main
from tests.unit.report import world

COMMANDS = (("explain", "C-0417"), ("held",), ("report",))


def damaged(root):
    (root / "warehouse.duckdb").write_text("not what it was " * 500)


def made_of_nothing(root):
    duckdb.connect(str(root / "warehouse.duckdb")).close()


def without_a_column(root):
    world.write_world(root, world.ordinary_week())
    with duckdb.connect(str(root / "warehouse.duckdb")) as con:
        con.execute("CREATE SCHEMA IF NOT EXISTS quality")
        con.execute("CREATE OR REPLACE TABLE quality.held AS SELECT 'injuries' AS feed")
        con.execute("ALTER TABLE policy.labels DROP COLUMN label")


def said(root, *words):
    (root / "inbox").mkdir(exist_ok=True)
    return CliRunner().invoke(main, [*words, "--workspace", str(root)])


@pytest.mark.parametrize("spoil", [damaged, made_of_nothing, without_a_column])
@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
def test_it_is_said_and_nothing_is_written(command, spoil, tmp_path):
    spoil(tmp_path)
    ended = said(tmp_path, *command)
    assert ended.exit_code == 15, ended.output
    assert "another version made it" in ended.stderr
    assert "`caseround review`" in ended.stderr
    assert "bug" not in ended.stderr
    assert not (tmp_path / "audits").exists()


def test_a_query_cannot_open_a_damaged_one_either(tmp_path):
    damaged(tmp_path)
    ended = said(tmp_path, "query", "SELECT 1")
    assert (ended.exit_code, "`caseround review`" in ended.stderr) == (15, True)


def test_a_query_for_what_an_older_one_lacks_is_told_of_the_review(tmp_path):
    made_of_nothing(tmp_path)
    ended = said(tmp_path, "query", "SELECT * FROM audit.findings")
    assert (ended.exit_code, "run `caseround review` first" in ended.stderr) == (2, True)
