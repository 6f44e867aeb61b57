"""Relations are found by their path, read what their SQL says, and have one order."""

import graphlib

import pytest

from pipeline.review.graph import (
    ancestors,
    columns_wanted,
    in_order,
    load_relations,
    relation_from_text,
    true_inputs,
)

HEADER = "-- question: q\n-- columns:\n--   x   id  the x\n--   y   id  the y\n--   z   id  the z\n"


def made(name: str, sql: str):
    return relation_from_text(name, HEADER + sql)


def graph(**selects: str):
    return {name: made(name, sql) for name, sql in ((key.replace("__", "."), sql) for key, sql in selects.items())}


def test_inputs_are_found_in_joins_ctes_and_subqueries():
    sql = """WITH a AS (SELECT x FROM s.one) SELECT a.x, (SELECT max(x) FROM s.two) AS y FROM a
        JOIN s.three USING (x) WHERE EXISTS (SELECT 1 FROM s.four)"""
    assert true_inputs(sql) == ("s.four", "s.one", "s.three", "s.two")


def test_a_text_that_looks_like_a_table_is_no_input():
    sql = """SELECT 'it''s FROM s.text' AS x, EXTRACT(YEAR FROM one.day) AS y, one.a IS NOT DISTINCT FROM one.b AS z
        -- JOIN s.note
        FROM s.one"""
    assert true_inputs(sql) == ("s.one",)


def test_path_is_the_name_and_checks_are_no_relations(tmp_path):
    for folder in ("risk", "checks"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "scores.sql").write_text(HEADER + "SELECT 1 AS x")
    assert list(load_relations(tmp_path)) == ["risk.scores"]


def test_order_is_by_need_and_then_by_name():
    relations = graph(b__two="SELECT x FROM a.one", a__one="SELECT x FROM store.clients", a__zero="SELECT x FROM b.two")
    assert [relation.name for relation in in_order(relations)] == ["a.one", "b.two", "a.zero"]
    shuffled = dict(reversed(relations.items()))
    assert in_order(shuffled) == in_order(relations)


def test_circle_is_refused():
    with pytest.raises(graphlib.CycleError):
        in_order(graph(a__one="SELECT x FROM a.two", a__two="SELECT x FROM a.one"))


def test_relation_that_no_file_makes_is_refused():
    with pytest.raises(ValueError, match=r"a\.one reads a\.tow"):
        in_order(graph(a__one="SELECT x FROM a.tow"))


def test_ancestors_are_what_is_read_directly_or_not():
    relations = graph(
        a__one="SELECT x FROM store.clients", a__two="SELECT x FROM a.one", a__three="SELECT x FROM a.two",
        b__other="SELECT x FROM a.one",
    )  # fmt: skip
    assert list(ancestors(relations, ["a.three"])) == ["a.one", "a.three", "a.two"]


def test_columns_that_no_reader_names_are_not_wanted():
    one = made("a.one", "SELECT x, y, z FROM store.clients")
    assert columns_wanted(one, [made("a.two", "SELECT one.x, count(*) AS n FROM a.one GROUP BY one.x")]) == ("x",)
    assert columns_wanted(one, [made("a.two", "SELECT one.x * 2 AS y FROM a.one")]) == ("x", "y")
    assert columns_wanted(one, [made("a.two", "SELECT t.x FROM (SELECT one.* FROM a.one) AS t")]) == ("x", "y", "z")
    assert columns_wanted(one, [made("a.two", "SELECT t.x FROM (SELECT * FROM a.one) AS t")]) == ("x", "y", "z")
    assert columns_wanted(one, [made("a.two", "SELECT other.z FROM a.other")]) == ()
