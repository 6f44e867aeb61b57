"""The shipped policy is the one that was read."""

import pyarrow as pa
import pytest

from pipeline.policy import load
from tests.frozen_policy.frozen import changed_in, frozen_tables
from tests.models.cases import DEFAULT_AS_OF


def test_the_shipped_policy_is_the_one_that_was_read():
    assert changed_in(load().tables(DEFAULT_AS_OF)) == []


@pytest.mark.parametrize("name", frozen_tables())
def test_a_missing_row_is_noticed(name):
    tables = load().tables(DEFAULT_AS_OF)
    assert changed_in(tables | {name: tables[name].slice(1)}) == [name]


def test_a_number_that_moves_is_noticed():
    tables = load().tables(DEFAULT_AS_OF)
    severities = tables["severities"]
    place = severities.column_names.index("due_days")
    days = pa.array([day + 1 for day in severities["due_days"].to_pylist()], severities.schema.field(place).type)
    assert changed_in(tables | {"severities": severities.set_column(place, "due_days", days)}) == ["severities"]
