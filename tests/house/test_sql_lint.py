"""Every SQL file keeps to the portable subset, and its header is true."""

import duckdb
import pytest

from pipeline.resources import sql_dir
from pipeline.review.graph import in_order, relation_files, relation_from_file, relation_from_text
from pipeline.review.inputs import loaded_names
from pipeline.review.lint import header_faults, sql_faults, type_agrees
from tests.models.cases import shared_world

FILES = relation_files(sql_dir())
NAMES = (*FILES, *loaded_names())


@pytest.mark.parametrize("name", list(FILES))
def test_sql_keeps_to_the_portable_subset(name):
    assert sql_faults(relation_from_file(FILES[name]).sql, relation_names=NAMES) == []


@pytest.mark.parametrize("path", sorted(sql_dir().glob("checks/*.sql")), ids=lambda path: path.stem)
def test_checks_keep_to_the_portable_subset(path):
    relation = relation_from_text(f"checks.{path.stem}", path.read_text(encoding="utf-8"), path=path)
    assert sql_faults(relation.sql, relation_names=NAMES) in ([], ["star_at_the_end"])
    assert tuple(sorted(relation.header.inputs)) == relation.inputs
    assert relation.header.question


@pytest.mark.parametrize("name", list(FILES))
def test_header_is_true(name):
    world = shared_world()
    assert name not in world.broken, world.broken[name]
    described = {row[0]: row[1] for row in world.con.execute(f"DESCRIBE {name}").fetchall()}
    assert header_faults(world.relations[name], described) == []


def test_compiled_rules_read_the_three_states():
    assert shared_world().relations["audit.verdicts"].inputs == ("state.clients", "state.injuries", "state.loans")


def test_relations_have_an_order():
    assert len(in_order(shared_world().relations)) == len(shared_world().relations)


# Each planted construct was measured to differ between engines or runs; a lint that misses one is no lint.
PLANTED = {
    "not_one_select": "SELECT 1; SELECT 2",
    "qualify": "SELECT a.x FROM s.a QUALIFY ROW_NUMBER() OVER (ORDER BY a.x) = 1",
    "group_by_all": "SELECT a.x, count(*) AS n FROM s.a GROUP BY ALL",
    "order_by_all": "SELECT a.x FROM s.a ORDER BY ALL",
    "star_exclude": "SELECT b.x FROM (SELECT * EXCLUDE (y) FROM s.a) AS b",
    "union_by_name": "SELECT a.x FROM s.a UNION ALL BY NAME SELECT b.x FROM s.b",
    "asof_join": "SELECT a.x FROM s.a ASOF JOIN s.b ON a.k = b.k AND a.t >= b.t",
    "unnest_in_from": "SELECT u.x FROM s.a, UNNEST(a.items) AS u(x)",
    "range_frame": """SELECT sum(a.x) OVER (ORDER BY a.t RANGE BETWEEN INTERVAL 7 DAY PRECEDING AND CURRENT ROW) AS n
        FROM s.a""",
    "list_distinct_order_by": "SELECT list(DISTINCT a.x ORDER BY a.x) AS l FROM s.a",
    "any_value": "SELECT any_value(a.x) AS x FROM s.a",
    "first": "SELECT first(a.x) AS x FROM s.a",
    "last": "SELECT last(a.x) AS x FROM s.a",
    "hash": "SELECT hash(a.x) AS x FROM s.a",
    "quantile_cont": "SELECT quantile_cont(a.x, 0.5) AS x FROM s.a",
    "dayofweek": "SELECT dayofweek(a.d) AS x FROM s.a",
    "date_diff_of_a_timestamp": "SELECT date_diff('day', a.started_at, a.ended_at) AS n FROM s.a",
    "date_diff_not_in_days": "SELECT date_diff('month', a.from_on, a.to_on) AS n FROM s.a",
    "interval_of_a_column": "SELECT a.t + INTERVAL (a.n) DAY AS d FROM s.a",
    "try_strptime": "SELECT try_strptime(a.x, '%Y') AS d FROM s.a",
    "to_days": "SELECT a.t + to_days(a.n) AS d FROM s.a",
    "now": "SELECT now() AS t",
    "timestamp_with_zone": "SELECT CAST(a.t AS TIMESTAMPTZ) AS t FROM s.a",
    "unrounded_double_sum": "SELECT sum(CAST(a.x AS DOUBLE)) AS n FROM s.a",
    "division_without_nullif": "SELECT a.x / a.y AS n FROM s.a",
    "relation_without_schema": "SELECT a.x FROM a",
    "cte_named_like_a_relation": "WITH scores AS (SELECT a.x FROM s.a) SELECT scores.x FROM scores",
    "star_at_the_end": "SELECT * FROM s.a",
    "inputs_misread": "SELECT a.x FROM s.a, s.b",
    "parameter": "SELECT a.x FROM s.a WHERE a.y = ?",
    "to_json": "SELECT to_json(a.x) AS x FROM s.a",
}


@pytest.mark.parametrize("fault", sorted(PLANTED))
def test_planted_construct_is_refused_by_name(fault):
    assert fault in sql_faults(PLANTED[fault], relation_names=("risk.scores",))


def test_average_of_a_double_is_refused_and_a_rounded_one_is_fine():
    assert sql_faults("SELECT avg(a.x) AS m FROM s.a") == ["unrounded_double_sum"]
    assert sql_faults("SELECT CAST(round(avg(a.x), 2) AS DECIMAL(18, 2)) AS m FROM s.a") == []


GOOD = """\
WITH numbered AS (
    SELECT a.x, a.d, ROW_NUMBER() OVER (PARTITION BY a.x ORDER BY a.d DESC, a.k) AS rn FROM s.a
)
SELECT numbered.x, string_agg(b.y, '; ' ORDER BY b.y) AS ys, list_sort(list(DISTINCT b.y)) AS l,
    CAST(numbered.d AS DATE) + 7 AS due_on, date_diff('day', b.seen_on, CAST(b.t AS DATE)) AS days,
    sum(CAST(b.n AS DECIMAL(18, 4))) / NULLIF(count(*), 0) AS mean
FROM numbered
LEFT JOIN s.b ON b.x = numbered.x
WHERE numbered.rn = 1
GROUP BY numbered.x, numbered.d, b.seen_on, b.t
"""


def test_the_portable_way_is_not_refused():
    assert sql_faults(GOOD, relation_names=("risk.scores",)) == []


HEADER = """\
-- question: What?
-- grain:    one row per x
-- key:      x
-- inputs:   s.a
-- columns:
--   x   id       the x
--   n   integer  how many
SELECT a.x, CAST(count(*) AS INTEGER) AS n FROM s.a GROUP BY a.x
"""


def test_a_divisor_that_leaves_the_nought_is_refused():
    assert sql_faults("SELECT a.x / NULLIF(a.y, 1) AS n FROM s.a") == ["division_without_nullif"]


@pytest.mark.parametrize(
    ("told", "written"),
    [
        ("-- inputs:   s.a\n", "-- inputs:   s.a, s.b\n"),
        ("-- inputs:   s.a\n", ""),
        ("--   n   integer  how many\n", ""),
        ("--   n   integer  how many\n", "--   n   number  how many\n"),
        ("-- key:      x\n", "-- key:      y\n"),
        ("-- question: What?\n", ""),
    ],
)
def test_a_header_that_lies_is_refused(told, written):
    described = {"x": "VARCHAR", "n": "INTEGER"}
    assert header_faults(relation_from_text("s.made", HEADER), described) == []
    assert header_faults(relation_from_text("s.made", HEADER.replace(told, written)), described) != []


def test_type_words_stand_for_the_types_of_the_engine():
    con = duckdb.connect()
    for declared, literal in [("id", "'a'"), ("number", "1.5"), ("list", "[1]"), ("date", "DATE '2026-01-05'")]:
        assert type_agrees(declared, con.execute(f"DESCRIBE SELECT {literal} AS x").fetchone()[1])
    assert not type_agrees("number", "DOUBLE")
    assert not type_agrees("integer", "BIGINT")
