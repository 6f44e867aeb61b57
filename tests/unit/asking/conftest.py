"""A workspace whose warehouse holds two people, and a file beside it that no query may read."""

import duckdb
import pytest

from pipeline.asking import Limits, Question, answer
from pipeline.settings import load_workspace

SECRET = "what-lies-beside-the-warehouse"


@pytest.fixture
def workspace(tmp_path):
    """A workspace with a published warehouse: audit.people, two rows, one of them with a formula for a note."""
    root = tmp_path / "ws"
    (root / "inbox").mkdir(parents=True)
    (root / "store").mkdir()
    (root / "store" / "secret.csv").write_text(f"a\n{SECRET}\n")
    with duckdb.connect(str(root / "warehouse.duckdb")) as con:
        con.execute("CREATE SCHEMA audit")
        con.execute("""CREATE TABLE audit.people AS SELECT * FROM (VALUES
            ('C-1', 79, true, DATE '2026-03-02', -1.50, '=1+1'), ('C-2', NULL, false, NULL, 2.25, 'quiet')
            ) AS v(client_id, age_years, is_adult, seen_on, change, note)""")
    return load_workspace(root)


@pytest.fixture
def ask(workspace):
    """Answers a query as `caseround query` does and returns what it printed."""

    def asked(sql, *, form="csv", out=None, seconds=5, memory_mb=200):
        printed = []
        limits = Limits(seconds=seconds, memory_mb=memory_mb)
        rows = answer(workspace, Question(sql, form=form, out=out, limits=limits), write=printed.append)
        asked.rows = rows
        return "".join(printed)

    return asked
