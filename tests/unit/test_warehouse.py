"""Two warehouses are the same when their rows are, whatever the order and the bytes of the file."""

import hashlib

import duckdb
import pytest

from pipeline import warehouse
from pipeline.errors import NoWarehouse


@pytest.fixture
def made(tmp_path):
    def make(name, *statements):
        path = tmp_path / f"{name}.duckdb"
        with duckdb.connect(str(path)) as con:
            con.execute("CREATE SCHEMA risk")
            for statement in statements:
                con.execute(statement)
        return path

    return make


def manifest(path):
    con = warehouse.open_readonly(path)
    try:
        return warehouse.manifest(con)
    finally:
        con.close()


def test_the_order_of_rows_does_not_matter(made):
    first = made("a", "CREATE TABLE risk.t AS SELECT * FROM (VALUES (1, 'x'), (2, NULL)) AS v(n, c)")
    second = made("b", "CREATE TABLE risk.t AS SELECT * FROM (VALUES (2, NULL), (1, 'x')) AS v(n, c)")
    assert manifest(first) == manifest(second)


@pytest.mark.parametrize(
    "other",
    [
        "(1, 'x'), (2, '')",
        "(1, 'x')",
        "(1, 'x'), (2, NULL), (2, NULL)",
        "(1, 'x'), (2, 'NULL')",
        "(12, NULL), (1, 'x')",
    ],
)
def test_any_other_row_does(made, other):
    first = made("a", "CREATE TABLE risk.t AS SELECT * FROM (VALUES (1, 'x'), (2, NULL)) AS v(n, c)")
    second = made("b", f"CREATE TABLE risk.t AS SELECT * FROM (VALUES {other}) AS v(n, c)")
    assert manifest(first)[0] != manifest(second)[0]


def test_a_digest_is_what_its_definition_says(made):
    path = made("a", "CREATE TABLE risk.t AS SELECT 1 AS n, CAST(NULL AS VARCHAR) AS c")
    # The definition computed by hand: md5 of the text, of which DuckDB's "lower" half are the last eight bytes,
    # read with the least significant byte first.
    half = int.from_bytes(hashlib.md5(b"1\x1f\x1e").digest()[8:], "little")
    fingerprint, rows = manifest(path)
    assert rows == [("risk.t", 1, half)]
    assert fingerprint == hashlib.sha256(f"risk.t 1 {half}".encode()).hexdigest()


def test_no_warehouse_is_its_own_error(tmp_path):
    with pytest.raises(NoWarehouse):
        warehouse.open_readonly(tmp_path / "none.duckdb")


@pytest.mark.parametrize(
    "attack",
    [
        "SELECT * FROM read_text('/etc/hostname')",
        "COPY (SELECT 1) TO 'out.csv'",
        "ATTACH 'other.duckdb'",
        "CREATE TABLE risk.u AS SELECT 1",
        "SET enable_external_access = true",
        "INSTALL httpfs",
    ],
)
def test_a_reader_can_read_the_warehouse_and_nothing_else(made, attack):
    con = warehouse.open_readonly(made("a"))
    with pytest.raises(duckdb.Error):
        con.execute(attack)
    con.close()


def test_a_query_that_never_ends_is_ended(made):
    con = warehouse.open_readonly(made("a"), seconds=1)
    with pytest.raises(duckdb.Error):
        con.execute("SELECT sum(a.range * b.range) FROM range(1000000) AS a, range(1000000) AS b").fetchall()
    con.close()
