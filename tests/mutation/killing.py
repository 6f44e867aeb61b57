"""Whether the cases notice a planted fault."""

import shutil
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import duckdb

from pipeline import resources
from pipeline.errors import PolicyUnsound
from pipeline.policy import Policy, load
from pipeline.review.engine import compiled_verdicts
from pipeline.review.generated import VERDICTS
from pipeline.review.graph import relation_files
from pipeline.review.headers import without_header
from pipeline.review.inputs import fill_policy
from tests.frozen_policy.frozen import changed_in
from tests.models.cases import DEFAULT_AS_OF, Case, World, case_paths, differences, policy_tables, read_case
from tests.mutation import policy_mutants, sql_mutants
from tests.mutation.sql_mutants import Mutant
from tests.rules.cases import expected, rule_cases, said, shipped_rules

# How long the SELECT of a case may take with a fault in it: without one it takes a few hundredths of a second.
PATIENCE = 5000


@cache
def all_cases() -> tuple[Case, ...]:
    """Every case of every relation, in name order, each file read once."""
    return tuple(map(read_case, case_paths()))


def cases_of(relation: str) -> list[Case]:
    """The cases of one relation, those that make it on their way to another included, in name order."""
    return [case for case in all_cases() if relation in (case.relation, *case.made)]


@cache
def asking_order(relation: str) -> list[Case]:
    """The same cases in the order in which they are asked: which of them notices first changes nothing but the time."""
    return cases_of(relation)


def sql_mutants_of(names: Iterable[str] = ()) -> Iterator[Mutant]:
    """Mutants of every SQL file, or of the relations whose name starts with one of `names`."""
    wanted = tuple(names)
    for name, path in relation_files(resources.sql_dir()).items():
        if not wanted or name.startswith(wanted):
            yield from sql_mutants.mutants_of(name, path)


def policy_mutants_of(names: Iterable[str] = ()) -> Iterator[Mutant]:
    """Mutants of every policy file, or of those whose path below policy/ starts with one of `names`."""
    root = resources.policy_dir()
    wanted = tuple(names)
    for path in sorted(root.rglob("*.toml")):
        if not wanted or path.relative_to(root).as_posix().startswith(wanted):
            yield from policy_mutants.mutants_of(path, root=root)


def bounded(world: World) -> World:
    """The same world, in which a fault that joins everything to everything ends as an error and not the machine."""
    world.con.execute("SET memory_limit = '1GB'")
    return world


def survives_sql(world: World, mutant: Mutant) -> bool:
    """True when every case of the relation still holds with the fault in it; an SQL error is a kill."""
    return not _is_noticed(world, asking_order(mutant.relation), {mutant.relation: without_header(mutant.text)})


def survives_policy(world: World, mutant: Mutant, folder: Path) -> bool:
    """True when a policy with the fault still loads and every case that reads the policy still holds."""
    shutil.rmtree(folder, ignore_errors=True)
    target = folder / mutant.path.relative_to(resources.policy_dir())
    target.parent.mkdir(parents=True)
    target.write_text(mutant.text, encoding="utf-8")
    try:
        policy = load(folder)
        tables = policy.tables(DEFAULT_AS_OF)
        if changed_in(tables) or not _rules_hold(policy):
            return False
        verdicts = compiled_verdicts(world.relations, policy, as_of=DEFAULT_AS_OF)
    except (PolicyUnsound, ValueError):
        return False
    fill_policy(world.con, tables)
    try:
        return not _is_noticed(world, _cases_that_read_policy(world), {VERDICTS: verdicts.sql})
    finally:
        fill_policy(world.con, policy_tables(DEFAULT_AS_OF))


def _rules_hold(policy: Policy) -> bool:
    # Only what the fault has changed: the other rules hold as they did before.
    changed = [rule for rule in policy.rules(DEFAULT_AS_OF) if rule != shipped_rules().get(rule.rule)]
    try:
        return all(said(rule, rule_cases()[rule.rule]) == expected(rule_cases()[rule.rule]) for rule in changed)
    except duckdb.Error:
        return False


def _is_noticed(world: World, order: list[Case], changed: dict[str, str]) -> bool:
    """True when a case no longer holds. That case is put first: it is the likeliest to notice the next fault too."""
    for place, case in enumerate(order):
        if not _holds(world, case, changed):
            order.insert(0, order.pop(place))
            return True
    return False


def _holds(world: World, case: Case, changed: dict[str, str], *, milliseconds: int = PATIENCE) -> bool:
    world.con.execute(f"SET max_execution_time = {milliseconds}")
    try:
        return not differences(world, case, changed=changed)
    except duckdb.InterruptException:
        # The machine may have been busy elsewhere: slow counts as noticed only when it is slow with more time too.
        return milliseconds == PATIENCE and _holds(world, case, changed, milliseconds=4 * PATIENCE)
    except duckdb.Error:
        return False
    finally:
        world.con.execute("RESET max_execution_time")


@cache
def _policy_cases(relations: tuple[str, ...]) -> list[Case]:
    return [case for relation in relations for case in cases_of(relation)]


def _cases_that_read_policy(world: World) -> list[Case]:
    readers = [
        name
        for name, relation in sorted(world.relations.items())
        if name == VERDICTS or any(source.startswith("policy.") for source in relation.inputs)
    ]
    # The verdicts first: most faults of a rule show there.
    return _policy_cases(tuple(sorted(readers, key=lambda name: (name != VERDICTS, name))))
