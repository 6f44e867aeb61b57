"""What an unfriendly query can do: nothing. Each is refused or ended, with a reason, and no byte is changed.

The table is the test. `{store}` stands for the workspace's store, in which a file lies that no answer may show.
"""

import resource

import pytest

from pipeline.errors import TYPED_WRONGLY, QueryRefused
from tests.unit.asking.conftest import SECRET

# name: (query, what the message says)
HOSTILE = {
    "reads a CSV file": ("SELECT * FROM read_csv('{store}/secret.csv')", r"calls read_csv\(\)"),
    "reads a file by its bare name": ("SELECT * FROM '{store}/secret.csv'", "asks for something else"),
    "reads Parquet files": ("SELECT * FROM read_parquet('{store}/**/*.parquet')", r"calls read_parquet\(\)"),
    "reads a file as text, in a subquery": (
        "SELECT (SELECT content FROM read_text('{store}/secret.csv')) AS c FROM audit.people",
        r"calls read_text\(\)",
    ),
    "reads a file where the tree cannot be written down": (
        "SELECT * FROM (PIVOT read_csv('{store}/secret.csv') ON a IN ('x') USING count(*))",
        "nothing else on this machine",
    ),
    "makes several statements of one": ("PIVOT audit.people ON note USING count(*)", "several statements"),
    "lists a folder": ("SELECT * FROM glob('{store}/*')", r"calls glob\(\)"),
    "attaches another database": ("ATTACH '{store}/other.duckdb'", "is or holds ATTACH"),
    "copies out": ("COPY audit.people TO '{store}/out.csv'", "is or holds COPY"),
    "exports everything": ("EXPORT DATABASE '{store}/dump'", "is or holds EXPORT"),
    "installs an extension": ("INSTALL httpfs", "is or holds LOAD"),
    "loads an extension": ("LOAD '{store}/x.duckdb_extension'", "is or holds LOAD"),
    "sets a setting": ("SET enable_external_access = true", "is or holds SET"),
    "resets a setting": ("RESET lock_configuration", "is or holds SET"),
    "runs a pragma": ("PRAGMA enable_profiling", "is or holds PRAGMA|is or holds SET"),
    "opens a log file": (
        "SELECT * FROM enable_logging(storage = 'file', storage_config = {{'path': '{store}/log'}})",
        r"calls enable_logging\(\)",
    ),
    "creates a table": ("CREATE TABLE audit.mine AS SELECT 1 AS a", "is or holds CREATE"),
    "inserts": ("INSERT INTO audit.people (client_id) VALUES ('C-3')", "is or holds INSERT"),
    "inserts inside a SELECT": (
        "WITH x AS (INSERT INTO audit.people (client_id) VALUES ('C-3') RETURNING *) SELECT * FROM x",
        "is or holds INSERT",
    ),
    "updates": ("UPDATE audit.people SET age_years = 1", "is or holds UPDATE"),
    "deletes": ("DELETE FROM audit.people", "is or holds DELETE"),
    "drops": ("DROP TABLE audit.people", "is or holds DROP"),
    "hides a second statement": ("SELECT 1 AS a; DROP TABLE audit.people", "holds 2"),
    "runs text as a query": ("SELECT * FROM query('SELECT 1')", r"calls query\(\)"),
    "calls a procedure": ("CALL force_checkpoint()", "is or holds CALL"),
    "reads the environment": ("SELECT getenv('HOME')", "getenv does not exist"),
    "reads the settings": ("SELECT * FROM duckdb_settings()", r"calls duckdb_settings\(\)"),
    "reads the secrets": ("SELECT * FROM duckdb_secrets()", r"calls duckdb_secrets\(\)"),
    "names a variable of this program": ("SELECT * FROM HOSTILE", "HOSTILE does not exist"),
    "counts for ever": (
        "WITH RECURSIVE r AS (SELECT 1 AS n UNION ALL SELECT n + 1 FROM r) SELECT max(n) FROM r",
        "longer than 1 seconds",
    ),
    "joins everything with everything": (
        "SELECT count(*) FROM range(10000000) AS a, range(10000000) AS b WHERE a.range * b.range % 7 = 3",
        "longer than 1 seconds",
    ),
    "prints for ever": ("SELECT range FROM range(1000000000000)", "longer than 1 seconds"),
    "hoards rows": ("SELECT list(range) FROM range(1000000000)", "more than 200 MB of memory"),
    "sorts more than fits": ("SELECT range FROM range(100000000) ORDER BY hash(range)", "more than 200 MB of memory"),
    "makes one huge text, which the engine does not count": (
        "SELECT length(repeat('x', 2000000000))",
        "more than 200 MB of memory",
    ),
    "makes one huge list, which the engine does not count": ("SELECT range(300000000)", "more than 200 MB of memory"),
    "quotes a cell in an error": ("SELECT CAST(note AS INTEGER) FROM audit.people", r"failed on a value \(Conversion"),
    "raises an error of a cell": ("SELECT error(note) FROM audit.people", r"failed on a value \(Invalid Input Error\)"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_query_is_refused_or_ended(name, workspace, ask):
    query, says = HOSTILE[name]
    before, beside = workspace.warehouse.read_bytes(), sorted(workspace.root.rglob("*"))
    memory = resource.getrlimit(resource.RLIMIT_DATA)
    with pytest.raises(QueryRefused, match=says) as refused:
        # One that never ends must meet its time first, and one that hoards its memory, on a slow machine too.
        ask(query.format(store=workspace.store), seconds=1 if "seconds" in says else 60)
    message = str(refused.value)
    assert refused.value.exit_code == TYPED_WRONGLY
    assert refused.value.done and refused.value.todo
    assert SECRET not in message
    assert "=1+1" not in message and "quiet" not in message
    assert workspace.warehouse.read_bytes() == before
    assert sorted(workspace.root.rglob("*")) == beside
    assert resource.getrlimit(resource.RLIMIT_DATA) == memory


def test_there_are_twenty_and_more():
    assert len(HOSTILE) >= 20


@pytest.mark.parametrize(
    "friendly",
    [
        "SELECT client_id FROM audit.people;",
        "FROM audit.people -- all of it; really",
        "WITH p AS (SELECT * FROM audit.people) SELECT ';' AS a, p.* FROM p",
        "SELECT unnest(range(3)) AS n",
        "SELECT * FROM range(3)",
        "DESCRIBE audit.people",
        "SUMMARIZE audit.people",
        "SHOW ALL TABLES",
        "SELECT table_name, comment FROM duckdb_tables()",
        "SELECT 'read_csv(''x'')' AS a",
    ],
)
def test_a_friendly_query_is_answered(friendly, ask):
    assert ask(friendly).count("\n") >= 2


def test_the_connection_refuses_by_itself_what_the_words_would_let_through(workspace, monkeypatch):
    # The look at the words only explains; if it missed something, the engine must still say no.
    from pipeline.asking import running

    monkeypatch.setattr(running, "must_be_one_select", lambda con, sql: None)
    before = workspace.warehouse.read_bytes()
    for name in ("reads a CSV file", "lists a folder", "attaches another database", "copies out", "sets a setting",
                 "creates a table", "drops", "inserts inside a SELECT", "opens a log file"):  # fmt: skip
        sql = HOSTILE[name][0].format(store=workspace.store)
        with pytest.raises(QueryRefused), running.answered(workspace.warehouse, sql, limits=running.Limits()) as found:
            list(found.batches)
    assert workspace.warehouse.read_bytes() == before
