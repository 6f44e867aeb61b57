"""Given counts go through the real SQL of the trends: rates, signals and measures, in that order."""

import datetime as dt
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from types import SimpleNamespace

import duckdb

from tests.models.cases import Table, insert_rows, shared_world

CHAIN = ("trends.rates", "trends.signals", "trends.measures")
FIRST_YEAR = 2000


def month(place: int) -> str:
    """The first day of the month at that place, counted from 0."""
    return dt.date(FIRST_YEAR + place // 12, place % 12 + 1, 1).isoformat()


@contextmanager
def undone(con: duckdb.DuckDBPyConnection) -> Iterator[None]:
    """Whatever happens to the shared world inside is as it was afterwards."""
    con.execute("BEGIN")
    try:
        yield
    finally:
        con.execute("ROLLBACK")


def chart(counts: Sequence[int], sizes: Sequence[int], *, kind: str, per: int = 1, baseline: int) -> list:
    """One series for everybody, a count and a denominator a month, as trends.measures has it, month by month."""
    world = shared_world()
    con = world.con
    with undone(con):
        _give(con, "policy.measures", ("measure", "kind", "per", "good"), [("m", kind, str(per), "down")])
        con.execute("UPDATE policy.parameters SET amount = ? WHERE name = 'trend_baseline_months'", [baseline])
        months = [(month(place), month(place), str(place + 1), "false") for place in range(len(counts))]
        _give(con, "trends.months", ("month", "last_day", "place", "is_provisional"), months)
        figures = [
            ("m", month(place), month(place), "true", str(count), str(size))
            for place, (count, size) in enumerate(zip(counts, sizes, strict=True))
        ]
        columns = ("measure", "month", "measured_on", "is_total", "numerator", "denominator")
        _give(con, "trends.figures", columns, figures)
        for name in CHAIN:
            con.execute(f"INSERT INTO {name} {world.relations[name].sql}")
        answer = con.execute("SELECT * FROM trends.measures ORDER BY month")
        names = [column[0] for column in answer.description]
        return [SimpleNamespace(**dict(zip(names, row, strict=True))) for row in answer.fetchall()]


def interval(count: int, size: int, *, kind: str, per: int = 1) -> tuple[float, float]:
    """The 95 % interval of one count."""
    row = chart([count], [size], kind=kind, per=per, baseline=12)[0]
    return float(row.lower), float(row.upper)


def outside(rows: list) -> list[int]:
    """The places, counted from 1 as in textbooks, of the points outside their limits."""
    return [place for place, row in enumerate(rows, start=1) if (row.signal or "").startswith("outside_limit")]


def _give(con: duckdb.DuckDBPyConnection, relation: str, columns: tuple[str, ...], rows: list[tuple]) -> None:
    con.execute(f"DELETE FROM {relation}")
    insert_rows(con, relation, Table(columns=columns, rows=tuple(rows)))
