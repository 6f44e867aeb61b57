"""Every column that a rule may find blank says which feed would fill it: else nobody can be told whom to ask."""

import pytest

from tests.models.cases import shared_world

# Ids, and what is never blank because it is worked out and not received.
NEVER_BLANK = {
    "client_id", "loan_id", "injury_id", "is_placed", "has_held_row", "held_feeds", "caps_verdict", "state_is_too_old",
    "answers_too_old",
}  # fmt: skip


@pytest.mark.parametrize("subject", ["state.clients", "state.injuries", "state.loans"])
def test_every_column_has_an_origin(subject):
    world = shared_world()
    rows = world.con.execute(world.relations["state.column_origins"].sql).fetchall()
    told = {name for name, _, _ in rows}
    columns = {column.name for column in world.relations[subject].header.columns}
    assert sorted(columns - told - NEVER_BLANK) == []


def test_no_origin_for_a_column_that_is_gone():
    world = shared_world()
    rows = world.con.execute(world.relations["state.column_origins"].sql).fetchall()
    columns = {
        column.name
        for subject in ("state.clients", "state.injuries", "state.loans")
        for column in world.relations[subject].header.columns
    }
    assert sorted({name for name, _, _ in rows} - columns) == []
