"""Readers are never disturbed, and two runs never mix."""

import fcntl
import os

import duckdb

from tests.faults.conftest import RECEIVED, caseround


def test_a_reader_keeps_the_old_warehouse_until_it_opens_again(full):
    path = str(full.root / "warehouse.duckdb")
    reader = duckdb.connect(path, read_only=True)
    before = reader.execute("SELECT known_at FROM review.parameters").fetchall()
    full.drop("clients_2.csv", [{"client_id": "C-9", "sex": "male", "age_years": 80}])
    ran = caseround("run", "--received-at", "2026-01-12T06:00:00Z", workspace=full.root)
    assert ran.returncode == 0, ran.stderr
    assert reader.execute("SELECT known_at FROM review.parameters").fetchall() == before
    assert reader.execute("SELECT count(*) FROM records.clients").fetchone() == (1,)
    reader.close()
    with duckdb.connect(path, read_only=True) as opened_again:
        assert opened_again.execute("SELECT count(*) FROM records.clients").fetchone() == (2,)


def test_a_second_run_ends_at_once_with_14_and_writes_nothing(full):
    before = {path: path.stat().st_mtime_ns for path in full.root.rglob("*") if path.is_file()}
    holder = os.open(full.root / ".lock", os.O_RDWR)
    fcntl.flock(holder, fcntl.LOCK_EX)
    try:
        second = caseround("run", *RECEIVED, workspace=full.root)
    finally:
        os.close(holder)
    assert second.returncode == 14
    assert "Another run holds this workspace" in second.stderr
    assert {path: path.stat().st_mtime_ns for path in full.root.rglob("*") if path.is_file()} == before
