"""What must hold before a new warehouse replaces the old: each header is true, and each check finds no row."""

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

import duckdb

from pipeline.errors import ChecksDisagree
from pipeline.resources import sql_dir
from pipeline.review.graph import Relation
from pipeline.review.headers import without_header

Judge = Callable[[duckdb.DuckDBPyConnection], Iterator[str]]

# Most checks are too small to keep two threads at work, so two of them run at a time.
AT_A_TIME = 2


def require_clean(con: duckdb.DuckDBPyConnection, relations: Mapping[str, Relation]) -> None:
    """Raise ChecksDisagree that names every check with rows, and how many; return when there is none."""
    judges: list[Judge] = [
        *(partial(_header_problems, relation=relation) for relation in relations.values()),
        *(partial(_check_problems, path=path) for path in sorted(sql_dir().glob("checks/*.sql"))),
    ]
    catalog = con.execute("SELECT current_database()").fetchone()[0]

    def judge(one: Judge) -> list[str]:
        with con.cursor() as own:
            own.execute(f"USE {catalog}")
            return list(one(own))

    with ThreadPoolExecutor(max_workers=AT_A_TIME) as pool:
        problems = [problem for found in pool.map(judge, judges) for problem in found]
    if problems:
        raise ChecksDisagree(
            what=f"The review was built and its checks disagree: {'; '.join(problems)}.",
            size=f"{len(problems)} checks.",
            done="Nothing was published; the warehouse is as it was.",
            todo="This is a fault of the program, not of the exports: report the names of the checks.",
        )


def _header_problems(con: duckdb.DuckDBPyConnection, *, relation: Relation) -> Iterator[str]:
    columns = [row[0] for row in con.execute(f"DESCRIBE {relation.name}").fetchall()]
    if columns != [column.name for column in relation.header.columns]:
        yield f"columns of {relation.name}"
    elif relation.header.key and relation.header.stored == "table":
        # A view holds nothing of its own: its key is held by the tests, and not counted again every week.
        yield from _key_problems(con, relation)


def _key_problems(con: duckdb.DuckDBPyConnection, relation: Relation) -> Iterator[str]:
    key = ", ".join(f'"{name}"' for name in relation.header.key)
    # As many different hashes as rows means as many different keys, and numbers are counted faster than texts are.
    rows, hashes = con.execute(f"SELECT count(*), count(DISTINCT hash({key})) FROM {relation.name}").fetchone()
    repeats = f"SELECT count(*) FROM (SELECT 1 FROM {relation.name} GROUP BY {key} HAVING count(*) > 1)"
    if rows != hashes and (count := con.execute(repeats).fetchone()[0]):
        yield f"key of {relation.name} is not unique ({count})"
    needed = [name for name in relation.header.key if name not in relation.header.blank_in_key]
    blank = " OR ".join(f'"{name}" IS NULL' for name in needed)
    if needed and (count := con.execute(f"SELECT count(*) FROM {relation.name} WHERE {blank}").fetchone()[0]):
        yield f"key of {relation.name} is blank ({count})"


def _check_problems(con: duckdb.DuckDBPyConnection, *, path: Path) -> Iterator[str]:
    select = without_header(path.read_text(encoding="utf-8"))
    if count := con.execute(f"SELECT count(*) FROM ({select})").fetchone()[0]:
        yield f"{path.stem} ({count})"
