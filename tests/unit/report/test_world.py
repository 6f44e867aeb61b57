"""The invented warehouse has no column that the real one lacks, so a page that works here works there."""

from datetime import date

import pytest

from pipeline import policy
from pipeline.resources import sql_dir
from pipeline.review.headers import parse_header
from tests.unit.report.world import COLUMNS, HEADLINE


def invented(relation):
    if relation == "audit.headline":
        return dict.fromkeys(HEADLINE, "INTEGER")
    return dict(part.split() for part in COLUMNS[relation].split(", "))


BUILT = [name for name in (*COLUMNS, "audit.headline") if name.partition(".")[0] not in ("policy", "review")]


@pytest.mark.parametrize("relation", BUILT)
def test_columns_of_relations_are_those_of_the_headers(relation):
    schema, _, name = relation.partition(".")
    header = parse_header((sql_dir() / schema / f"{name}.sql").read_text("utf-8"))
    real = {column.name: column.sql_type for column in header.columns}
    assert {name: real.get(name) for name in invented(relation)} == invented(relation)


@pytest.mark.parametrize("relation", [name for name in COLUMNS if name.startswith("policy.")])
def test_columns_of_the_policy_are_those_that_it_loads(relation):
    table = policy.load(None).tables(date(2026, 3, 2))[relation.partition(".")[2]]
    assert set(invented(relation)) <= set(table.column_names)
