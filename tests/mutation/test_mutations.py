"""A sample of planted faults is noticed; the whole run is `python -m tests.mutation.run_mutations`."""

from collections.abc import Iterable

import pytest

from tests.models.cases import shared_world
from tests.mutation.killing import bounded, policy_mutants_of, sql_mutants_of, survives_policy, survives_sql
from tests.mutation.run_mutations import explained
from tests.mutation.sql_mutants import Mutant, mutants_of

# Few enough for every run of the tests. Drawn by name, so that the sample stays when other faults come and go.
ONE_IN = 97


def drawn(mutants: Iterable[Mutant]) -> list[Mutant]:
    """One mutant in ONE_IN that survivors.md does not explain."""
    known = explained()
    return [m for m in mutants if m.id not in known and int(m.id.rpartition("/")[2], 16) % ONE_IN == 0]


def test_sample_of_planted_sql_faults_is_noticed():
    alive = [mutant for mutant in drawn(sql_mutants_of()) if survives_sql(bounded(shared_world()), mutant)]
    assert [f"{mutant.path.name}:{mutant.line}: {mutant.what} [{mutant.id}]" for mutant in alive] == []


def test_sample_of_planted_policy_faults_is_noticed(tmp_path):
    world = bounded(shared_world())
    alive = [mutant for mutant in drawn(policy_mutants_of()) if survives_policy(world, mutant, tmp_path / "policy")]
    assert [f"{mutant.path.name}:{mutant.line}: {mutant.what} [{mutant.id}]" for mutant in alive] == []


def test_every_explained_survivor_is_still_a_mutant():
    ids = {mutant.id for mutant in (*sql_mutants_of(), *policy_mutants_of())}
    assert sorted(set(explained()) - ids) == []


SQL = """\
-- question: Who?
SELECT a.x
FROM s.a
LEFT JOIN s.b ON b.x = a.x AND b.n BETWEEN 1 AND 3
WHERE a.n >= 10 AND CAST(a.t AS DECIMAL(18, 4)) > 0
"""


def test_mutants_are_the_small_faults_that_people_make(tmp_path):
    path = tmp_path / "made.sql"
    path.write_text(SQL)
    found = [mutant.what for mutant in mutants_of("s.made", path)]
    assert found == [
        "LEFT -> INNER", "b.x = a.x -> TRUE", "= -> <>", "AND -> OR", "b.n BETWEEN 1 AND 3 -> TRUE",
        "1 -> 0", "1 -> 2", "3 -> 2", "3 -> 4", "a.n >= 10 -> TRUE", ">= -> >", "10 -> 11", "10 -> 9", "AND -> OR",
        "CAST(a.t AS DECIMAL(18, 4)) > 0 -> TRUE", "> -> >=", "0 -> -1", "0 -> 1",
    ]  # fmt: skip


def test_what_a_count_counts_is_no_fault(tmp_path):
    path = tmp_path / "made.sql"
    path.write_text("SELECT COUNT(CASE WHEN a.b THEN 1 END) AS n, SUM(CASE WHEN a.b THEN 1 END) AS m FROM s.a")
    assert [mutant.what for mutant in mutants_of("s.made", path)] == ["1 -> 0", "1 -> 2"]


def test_no_branch_of_a_count_is_a_fault_but_what_it_tests_is(tmp_path):
    path = tmp_path / "made.sql"
    path.write_text(
        "SELECT COUNT(CASE WHEN CASE WHEN a.b THEN 2 END IS NULL THEN 1 WHEN a.c THEN 1 END) AS n, "
        "COUNT(DISTINCT CASE WHEN a.b THEN 4 WHEN a.c THEN 5 END) AS m FROM s.a"
    )
    assert [mutant.what for mutant in mutants_of("s.made", path)] == [
        "2 -> 1", "2 -> 3", "4 -> 3", "4 -> 5", "5 -> 4", "5 -> 6",
    ]  # fmt: skip


def test_nought_of_a_divisor_is_left_to_the_lint_and_no_other_is(tmp_path):
    path = tmp_path / "made.sql"
    path.write_text(
        "SELECT a.x / NULLIF(LEAST(a.y, 7), 0) AS n, NULLIF(a.z, 0) AS z, a.x / COALESCE(a.y, 2) AS m FROM s.a"
    )
    assert [mutant.what for mutant in mutants_of("s.made", path)] == [
        "7 -> 6", "7 -> 8", "0 -> -1", "0 -> 1", "2 -> 1", "2 -> 3",
    ]  # fmt: skip


def test_mutant_keeps_its_name_when_lines_move(tmp_path):
    path, moved = tmp_path / "made.sql", tmp_path / "moved.sql"
    path.write_text(SQL)
    moved.write_text(SQL.replace("SELECT a.x\n", "-- A remark.\nSELECT\n    a.x\n"))
    assert [m.id for m in mutants_of("s.made", path)] == [m.id for m in mutants_of("s.made", moved)]


JOINED = "SELECT a.x FROM s.a INNER JOIN s.b ON b.x = a.x {rest}"


@pytest.mark.parametrize(
    ("rest", "is_planted"),
    [
        pytest.param("", True, id="nothing asks again"),
        pytest.param("WHERE b.y > 1", False, id="where"),
        pytest.param("WHERE 1 < b.y AND a.z", False, id="where, the other way round"),
        pytest.param("WHERE b.y BETWEEN 1 AND 2 AND a.z", False, id="between"),
        pytest.param("WHERE b.y > 1 OR a.z", True, id="one of two"),
        pytest.param("WHERE (b.y > 1 OR a.z)", True, id="one of two, in brackets"),
        pytest.param("WHERE COALESCE(b.y, 2) > 1", True, id="a blank is filled"),
        pytest.param("WHERE b.y IS NULL", True, id="a blank is wanted"),
        pytest.param("WHERE a.y > 1", True, id="another relation"),
        pytest.param("INNER JOIN s.c ON c.y = b.y", False, id="a later join"),
        pytest.param("LEFT JOIN s.c ON c.y = b.y", True, id="a later join that keeps its row"),
        pytest.param("LEFT JOIN s.c ON c.y = a.y WHERE b.y = a.y", False, id="after a join that keeps its row"),
        pytest.param("FULL JOIN s.c ON c.y = a.y WHERE b.y = a.y", True, id="a full join may want the blank row"),
        pytest.param("GROUP BY b.y HAVING MAX(a.x) < b.y", False, id="a group of blanks"),
        pytest.param("GROUP BY a.x HAVING MAX(b.y) < 3 AND a.x > 1", True, id="what a group holds"),
        pytest.param("UNION ALL SELECT b.x FROM s.b WHERE b.y > 1", True, id="the condition of another select"),
    ],
)
def test_join_that_a_later_condition_makes_inner_is_left_alone(tmp_path, rest, is_planted):
    path = tmp_path / "made.sql"
    path.write_text(JOINED.format(rest=rest))
    turned = [m for m in mutants_of("s.made", path) if m.what == "INNER -> LEFT" and "LEFT JOIN s.b" in m.text]
    assert bool(turned) is is_planted
