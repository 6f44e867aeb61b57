"""A review is built beside the published file, checked, sealed and swapped; and stops where it must."""

import datetime as dt
from pathlib import Path

import duckdb
import pytest

from pipeline import instants, warehouse
from pipeline.errors import ChecksDisagree
from pipeline.feeds.columns import FEEDS
from pipeline.intake import take_in
from pipeline.log import RunLog, no_progress
from pipeline.policy import load
from pipeline.review import build, engine, state_columns
from pipeline.review.checks import require_clean
from pipeline.review.graph import relation_from_text
from pipeline.review.moments import Moment, moment_before, parameters
from pipeline.settings import Workspace
from tests.contract.conftest import Desk, braden, client, injury, loan, placement

FIRST = dt.datetime(2026, 1, 5, 6, tzinfo=dt.UTC)
SECOND = dt.datetime(2026, 1, 12, 6, tzinfo=dt.UTC)


@pytest.fixture(scope="module")
def policy():
    return load(None, state_columns=state_columns())


@pytest.fixture(scope="module")
def workspace(tmp_path_factory, policy) -> Workspace:
    """Two weeks of a few people; only read by the tests, apart from its warehouse."""
    desk = Desk(tmp_path_factory.mktemp("reviewed"))
    made = Workspace(root=desk.root)
    desk.drop("clients.csv", [client("C-1"), client("C-2")])
    desk.drop("placements.csv", [placement("C-1"), placement("C-2")])
    desk.drop("assessments.csv", [braden("A-1", "C-1"), braden("A-2", "C-2")])
    take_in(made, policy, received_at=FIRST, progress=no_progress, log=RunLog())
    desk.drop("injuries.csv", [injury("O-1")])
    desk.drop("loans.csv", [loan("L-1", "C-1")])
    take_in(made, policy, received_at=SECOND, progress=no_progress, log=RunLog())
    return made


def review(workspace: Workspace, policy, *, known_at: dt.datetime, as_of: dt.date | None = None):
    day = as_of or known_at.date()
    return build(workspace, policy, as_of=day, known_at=known_at, progress=no_progress, log=RunLog())


def ask(workspace: Workspace, sql: str) -> list[tuple]:
    con = duckdb.connect(str(workspace.warehouse), read_only=True)
    try:
        return con.execute(sql).fetchall()
    finally:
        con.close()


def test_second_audit_compares_itself_with_the_first(workspace, policy):
    path = review(workspace, policy, known_at=SECOND)
    row = ask(workspace, "SELECT is_first_audit, previous_as_of, looked_at, known_at FROM review.parameters")
    assert row == [(False, dt.date(2026, 1, 5), dt.datetime(2026, 1, 12, 6), dt.datetime(2026, 1, 12, 6))]
    assert ask(workspace, "SELECT people FROM review.previous_tally WHERE is_total") == [(2,)]
    assert path == workspace.warehouse
    # Nothing unfinished, and no log that would keep the file from opening, stays behind.
    assert [path.name for path in workspace.root.iterdir() if "duckdb" in path.name] == ["warehouse.duckdb"]


def test_known_at_hides_what_came_later_and_the_first_audit_has_none_before(workspace, policy):
    review(workspace, policy, known_at=FIRST)
    assert ask(workspace, "SELECT count(*) FROM records.injuries") == [(0,)]
    assert ask(workspace, "SELECT is_first_audit FROM review.parameters") == [(True,)]
    assert ask(workspace, "SELECT count(*) FROM review.previous_raised") == [(0,)]


def test_file_says_what_everything_means(workspace, policy):
    review(workspace, policy, known_at=SECOND)
    comments = dict(ask(workspace, """SELECT schema_name || '.' || table_name, comment FROM duckdb_tables()
        UNION ALL SELECT schema_name || '.' || view_name, comment FROM duckdb_views()"""))  # fmt: skip
    assert comments["records.assessments"].startswith("Which assessments stand? Grain: one row")
    assert comments["risk.scores"].startswith("What total and band does policy give each assessment? Grain: one row")
    columns = dict(ask(workspace, "SELECT column_name, comment FROM duckdb_columns() WHERE table_name = 'scores'"))
    assert columns["scale"] == "the scale"
    steps = ask(workspace, "SELECT relation, row_count FROM review.steps ORDER BY step")
    assert ("records.assessments", 2) in steps
    assert ("risk.scores", None) in steps


def test_same_store_gives_the_same_content(workspace, policy):
    once = content(review(workspace, policy, known_at=SECOND))
    workspace.warehouse.unlink()
    assert content(review(workspace, policy, known_at=SECOND)) == once


def content(path):
    with warehouse.reading(path) as con:
        return warehouse.manifest(con)


def test_orphan_log_of_an_older_file_is_removed(workspace, policy):
    orphan = workspace.warehouse.with_name("warehouse.duckdb.wal")
    orphan.write_bytes(b"left by a crash")
    review(workspace, policy, known_at=SECOND)
    assert not orphan.exists()
    assert ask(workspace, "SELECT count(*) FROM records.clients") == [(2,)]


def test_check_with_a_row_publishes_nothing(workspace, policy, tmp_path, monkeypatch):
    review(workspace, policy, known_at=SECOND)
    before = workspace.warehouse.read_bytes()
    (tmp_path / "checks").mkdir()
    (tmp_path / "checks" / "nobody_is_here.sql").write_text(
        "-- question: Is nobody here?\n-- inputs:   records.clients\nSELECT clients.client_id FROM records.clients\n"
    )
    monkeypatch.setattr("pipeline.review.checks.sql_dir", lambda: tmp_path)
    with pytest.raises(ChecksDisagree, match=r"nobody_is_here \(2\)") as caught:
        review(workspace, policy, known_at=FIRST)
    assert caught.value.exit_code == 13
    assert workspace.warehouse.read_bytes() == before


def test_changed_store_file_stops_the_review(workspace, policy):
    path = next((workspace.store / "accepted" / "clients").iterdir())
    content = path.read_bytes()
    path.write_bytes(content[:-1] + bytes([content[-1] ^ 1]))
    try:
        with pytest.raises(ChecksDisagree, match="accepted/clients/"):
            review(workspace, policy, known_at=SECOND)
    finally:
        path.write_bytes(content)


def test_empty_store_is_a_review_too(tmp_path, policy):
    empty = Workspace(root=tmp_path)
    review(empty, policy, known_at=FIRST)
    assert ask(empty, "SELECT people FROM audit.tally WHERE is_total") in ([(0,)], [])
    assert ask(empty, "SELECT is_first_audit FROM review.parameters") == [(True,)]


CHECKED = """\
-- question: q
-- grain:    g
-- key:      x, y?
-- columns:
--   x   id  the x
--   y   id  the y
SELECT 1
"""


@pytest.mark.parametrize(
    ("rows", "problem"),
    [
        ("SELECT 'a' AS x, 'b' AS y UNION ALL SELECT 'a', NULL", None),
        ("SELECT 'a' AS x, 'b' AS y UNION ALL SELECT 'a', 'b'", "key of s.made is not unique"),
        ("SELECT CAST(NULL AS VARCHAR) AS x, 'b' AS y", "key of s.made is blank"),
        ("SELECT 'a' AS x", "columns of s.made"),
    ],
)
def test_header_is_held_to_the_rows(rows, problem, tmp_path, monkeypatch):
    monkeypatch.setattr("pipeline.review.checks.sql_dir", lambda: tmp_path)
    con = duckdb.connect()
    con.execute(f"CREATE SCHEMA s; CREATE TABLE s.made AS {rows}")
    relations = {"s.made": relation_from_text("s.made", CHECKED)}
    if problem is None:
        require_clean(con, relations)
    else:
        with pytest.raises(ChecksDisagree, match=problem):
            require_clean(con, relations)


def test_looked_at_is_the_earlier_of_the_two_times_in_local_time():
    zone = "Europe/Paris"
    place = Workspace(root=Path("nowhere"), time_zone=zone)
    known = dt.datetime(2026, 7, 6, 6, tzinfo=dt.UTC)
    same_day = parameters(
        place, Moment(dt.date(2026, 7, 6), known), is_first_audit=True, policy_fingerprint="", store_fingerprint=""
    )
    assert same_day["looked_at"] == dt.datetime(2026, 7, 6, 8)
    past = parameters(
        place, Moment(dt.date(2026, 7, 1), known), is_first_audit=True, policy_fingerprint="", store_fingerprint=""
    )
    assert past["looked_at"] == dt.datetime(2026, 7, 1, 23, 59, 59, 999999)


def test_audit_before_knew_nothing_from_after_its_own_day():
    place = Workspace(root=Path("nowhere"), audit_every_days=7)
    before = moment_before(place, Moment(dt.date(2026, 1, 12), SECOND))
    assert before == Moment(dt.date(2026, 1, 5), instants.end_of_day(dt.date(2026, 1, 5), "UTC"))
    late = moment_before(place, Moment(dt.date(2026, 3, 2), SECOND))
    assert late.known_at == SECOND


def test_rules_may_speak_of_the_documented_state_columns():
    columns = state_columns()
    assert set(columns) == set(engine.SUBJECTS)
    named = {column.name: column for column in columns["loan"]}
    assert named["surface_class"].codes == FEEDS["loans"].column("surface_class").codes
