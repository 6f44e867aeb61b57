"""Every relation gives the same rows on DuckDB and, translated, on a Spark-compatible engine.

An error there is harmless, because it is seen. What this is for is the silent difference: a function that both engines
know and answer differently on a blank, a tie or an odd day.
"""

import os
import sys

import pytest

from pipeline.review.graph import in_order
from tests.parity.engines import differences, duckdb_side, give, rows_of

pytestmark = [pytest.mark.engine, pytest.mark.slow]


@pytest.fixture(scope="module")
def spark():
    if not os.environ.get("CI"):
        pytest.importorskip("pysail", reason="the second engine is not installed")
    from pysail.spark import SparkConnectServer
    from pyspark.sql import SparkSession

    # One process of several begins with a line of code; the client takes a program without a file for a doctest.
    vars(sys.modules["__main__"]).setdefault("__file__", __file__)
    server = SparkConnectServer(port=0)
    server.start()
    session = SparkSession.builder.remote(f"sc://localhost:{server.listening_address[1]}").getOrCreate()
    session.conf.set("spark.sql.session.timeZone", "UTC")
    yield session
    session.stop()
    server.stop()


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    return duckdb_side(tmp_path_factory.mktemp("parity"), seed=7)


def test_every_relation_is_the_same_on_both_engines(spark, built):
    con, relations = built
    given, faults, empty = set(), [], []
    for relation in in_order(relations):
        for name in relation.inputs:
            if name not in given:
                give(spark, name, rows_of(con, name))
                given.add(name)
        expected = rows_of(con, relation.name)
        if not expected.num_rows:
            empty.append(relation.name)
        try:
            faults += differences(spark, relation, expected)
        except Exception as refused:
            faults.append(f"{relation.name}: refused, {str(refused)[:300]}")
    assert not faults, "\n".join(faults)
    assert not empty, f"no row to compare: {empty}"
