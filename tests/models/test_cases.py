"""Every given/expect case holds, and every relation has at least one."""

import pytest

from tests.models.cases import HERE, case_paths, differences, read_case, shared_world


@pytest.mark.parametrize("path", [pytest.param(path, id=str(path.relative_to(HERE))[:-3]) for path in case_paths()])
def test_case_holds(path):
    case = read_case(path)
    world = shared_world()
    broken = {name: why for name, why in world.broken.items() if name == case.relation or name in case.given}
    assert not broken, broken
    assert case.sentence, "a case starts with the sentence that it proves"
    found = differences(world, case)
    assert not found, "\n".join([case.sentence, *found])


def test_every_relation_is_built_on_empty_inputs():
    assert shared_world().broken == {}


def test_every_relation_has_a_case():
    told = {name for case in map(read_case, case_paths()) for name in (case.relation, *case.made)}
    assert sorted(set(shared_world().relations) - told) == []
