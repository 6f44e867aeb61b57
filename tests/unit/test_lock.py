"""One run at a time, and a clean start after a killed one."""

import pytest

from pipeline import lock
from pipeline.errors import WorkspaceBusy
from pipeline.settings import Workspace


def test_a_second_run_is_told_at_once(tmp_path):
    workspace = Workspace(root=tmp_path)
    with lock.only_run(workspace), pytest.raises(WorkspaceBusy), lock.only_run(workspace):
        pass
    with lock.only_run(workspace):
        pass


def test_only_unfinished_things_are_cleaned_and_the_inbox_is_not_looked_into(tmp_path):
    kept = ["warehouse.duckdb", "store/receipts/a.json", "inbox/.a.csv.tmp", "policy/.x.tmp"]
    gone = [".warehouse.duckdb.tmp", "store/receipts/.b.json.tmp", "audits/2026-01-05/.20260105T060000Z.tmp/index.html"]
    for name in kept + gone:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"")
    assert lock.clean(Workspace(root=tmp_path)) == 3
    assert sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file()) == sorted(kept)
