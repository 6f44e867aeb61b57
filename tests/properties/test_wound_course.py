"""Laws of the course of a wound: rows in any order give the same course, and a number never falls while it is open."""

import datetime as dt

import duckdb
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.feeds.columns import FEEDS
from pipeline.policy import load
from pipeline.resources import sql_dir

AS_OF = dt.date(2026, 3, 2)
STAGES = next(column.codes for column in FEEDS["injuries"].columns if column.name == "stage")
SQL = (sql_dir() / "wounds" / "staged.sql").read_text(encoding="utf-8")
LOOKS = st.lists(
    st.tuples(
        st.integers(1, 9), st.sampled_from(STAGES), st.sampled_from([None, "slough", "epithelial"]),
        st.sampled_from([None, "open", "closed"]), st.sampled_from(["sacrum", "mucosa"]),
    ),
    min_size=1, max_size=9,
)  # fmt: skip
NUMBERS = {"stage_1": 1, "stage_2": 2, "stage_3": 3, "stage_4": 4}


def course(con: duckdb.DuckDBPyConnection, rows: list[tuple]) -> list[dict]:
    con.execute("DELETE FROM records.injuries")
    con.executemany(
        "INSERT INTO records.injuries SELECT ?, 'W', 'C-1', DATE '2026-01-01' + CAST(? AS INTEGER), FALSE, ?, NULL,"
        " ?, ?, ?, NULL",
        [(name, day, place, stage, tissue, status) for name, day, stage, tissue, status, place in rows],
    )
    found = con.execute(f"SELECT * FROM ({SQL}) ORDER BY look")
    names = [column[0] for column in found.description]
    return [dict(zip(names, row, strict=True)) for row in found.fetchall()]


def world() -> duckdb.DuckDBPyConnection:
    con = duckdb.connect()
    con.execute("CREATE SCHEMA records; CREATE SCHEMA policy")
    for name in ("transitions", "stages"):
        held = load().tables(AS_OF)[name]  # noqa: F841  (the query reads it by its name)
        con.execute(f"CREATE TABLE policy.{name} AS SELECT * FROM held")
    con.execute(
        "CREATE TABLE records.injuries (injury_observation_id VARCHAR, injury_id VARCHAR, client_id VARCHAR,"
        " observed_at TIMESTAMP, observed_at_has_time BOOLEAN, location VARCHAR, side VARCHAR, stage VARCHAR,"
        " tissue VARCHAR, status VARCHAR, cause VARCHAR)"
    )
    return con


CON = world()


@settings(max_examples=60, deadline=None)
@given(looks=LOOKS, mixed=st.randoms(use_true_random=False))
def test_the_order_of_rows_changes_nothing(looks, mixed):
    rows = [(f"O-{place}", *look) for place, look in enumerate(looks)]
    shuffled = mixed.sample(rows, k=len(rows))
    assert course(CON, rows) == course(CON, shuffled)


@settings(max_examples=120, deadline=None)
@given(looks=LOOKS)
def test_a_number_never_falls_while_the_wound_is_open(looks):
    # CMS RAI 3.0 manual, section M: once numbered, the highest stage stands until the wound is healed.
    highest: dict[int, int] = {}
    for row in course(CON, [(f"O-{place}", *look) for place, look in enumerate(looks)]):
        number = NUMBERS.get(row["effective_stage"])
        if number is not None:
            assert number >= highest.get(row["episode"], 0)
            highest[row["episode"]] = number
