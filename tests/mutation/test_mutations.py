"""A sample of planted faults is noticed; the whole run is `python -m tests.mutation.run_mutations`."""

from tests.models.cases import shared_world
from tests.mutation.killing import policy_mutants_of, sql_mutants_of, survives_policy, survives_sql
from tests.mutation.run_mutations import explained
from tests.mutation.sql_mutants import mutants_of

# Few enough for every run of the tests; a prime, so that each file gets its share over the kinds of fault.
ONE_IN = 97


def test_sample_of_planted_sql_faults_is_noticed():
    known = explained()
    planted = list(sql_mutants_of())[::ONE_IN]
    alive = [mutant for mutant in planted if mutant.id not in known and survives_sql(shared_world(), mutant)]
    assert [f"{mutant.path.name}:{mutant.line}: {mutant.what} [{mutant.id}]" for mutant in alive] == []


def test_sample_of_planted_policy_faults_is_noticed(tmp_path):
    known = explained()
    planted = list(policy_mutants_of())[::ONE_IN]
    alive = [mutant for mutant in planted if mutant.id not in known]
    alive = [mutant for mutant in alive if survives_policy(shared_world(), mutant, tmp_path / "policy")]
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


def test_mutant_keeps_its_name_when_lines_move(tmp_path):
    path, moved = tmp_path / "made.sql", tmp_path / "moved.sql"
    path.write_text(SQL)
    moved.write_text(SQL.replace("SELECT a.x\n", "-- A remark.\nSELECT\n    a.x\n"))
    assert [m.id for m in mutants_of("s.made", path)] == [m.id for m in mutants_of("s.made", moved)]
