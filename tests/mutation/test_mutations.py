"""A sample of planted faults is noticed; the whole run is `python -m tests.mutation.run_mutations`."""

from collections.abc import Iterable

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


def test_mutant_keeps_its_name_when_lines_move(tmp_path):
    path, moved = tmp_path / "made.sql", tmp_path / "moved.sql"
    path.write_text(SQL)
    moved.write_text(SQL.replace("SELECT a.x\n", "-- A remark.\nSELECT\n    a.x\n"))
    assert [m.id for m in mutants_of("s.made", path)] == [m.id for m in mutants_of("s.made", moved)]
