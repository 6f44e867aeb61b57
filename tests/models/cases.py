"""Given/expect cases: one Markdown file says which rows go into the inputs of a relation and which must come out.

Every relation is built once on empty inputs, so that all tables exist with their true types and no case has to
repeat them. A case then fills the inputs it names, runs the relation's own SELECT and compares what it lists. Under
`made schema.name` it has one more relation built from its own SELECT first, for a step that only its reader can show.
"""

import datetime as dt
import functools
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import duckdb

from pipeline.policy import Policy, load
from pipeline.resources import sql_dir
from pipeline.review.engine import compiled_verdicts
from pipeline.review.generated import VERDICTS
from pipeline.review.graph import Relation, in_order, is_loaded, relation_files, relation_from_file
from pipeline.review.inputs import create_kept_inputs, create_store_inputs, fill_policy

HERE = Path(__file__).parent
DEFAULT_AS_OF = dt.date(2026, 3, 2)


@dataclass(frozen=True)
class Table:
    """The rows of one Markdown table, all text; a blank cell is None."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str | None, ...], ...]


@dataclass(frozen=True)
class Case:
    """One case file: the sentence at its top, the given tables by relation, and the expected rows."""

    relation: str
    path: Path
    sentence: str
    given: dict[str, Table]
    expect: Table
    made: tuple[str, ...] = ()


@dataclass
class World:
    """All relations, empty, in memory; `broken` says why a relation could not be built."""

    con: duckdb.DuckDBPyConnection
    relations: dict[str, Relation]
    broken: dict[str, str] = field(default_factory=dict)


def case_paths(root: Path = HERE) -> list[Path]:
    return sorted(root.glob("*/*/*.md"))


def read_case(path: Path) -> Case:
    """Parse a case file; ValueError when it has no expectation or a heading that is neither given nor expect."""
    parts = re.split(r"^## +(.+?)\s*$", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    given: dict[str, Table] = {}
    made: list[str] = []
    expect = None
    for heading, body in zip(parts[1::2], parts[2::2], strict=True):
        kind, _, name = heading.partition(" ")
        if kind == "given" and name:
            given[name.strip().strip("`")] = _read_table(body)
        elif kind == "made" and name:
            made.append(name.strip())
        elif heading == "expect":
            expect = _read_table(body)
        else:
            raise ValueError(f"{path}: the heading {heading!r} is none of given, made (with a schema.name) and expect")
    if expect is None:
        raise ValueError(f"{path}: there is no `## expect`")
    relation = f"{path.parent.parent.name}.{path.parent.name}"
    return Case(relation=relation, path=path, sentence=parts[0].strip(), given=given, expect=expect, made=tuple(made))


def _read_table(body: str) -> Table:
    lines = [line.strip() for line in body.splitlines() if line.strip().startswith("|")]
    if not lines:
        raise ValueError("a given or expect section holds no table; a heading row alone means no rows")
    cells = [_cells(line) for line in lines]
    columns = tuple(name or "" for name in cells[0])
    rows = tuple(tuple(row) for row in cells[1:] if not _is_rule(row))
    for row in rows:
        if len(row) != len(columns):
            raise ValueError(f"a row has {len(row)} cells under {len(columns)} headings")
    return Table(columns=columns, rows=rows)


def _cells(line: str) -> list[str | None]:
    cells = re.split(r"(?<!\\)\|", line)[1:-1]
    return [cell.strip().replace("\\|", "|") or None for cell in cells]


def _is_rule(row: list[str | None]) -> bool:
    return all(cell is not None and set(cell) <= {"-", ":"} for cell in row)


@functools.lru_cache(maxsize=1)
def shared_world() -> World:
    """The world that all cases of one test run share; each case leaves it as it found it."""
    return build_world()


@functools.lru_cache(maxsize=1)
def shipped_policy() -> Policy:
    return load(None)


@functools.lru_cache(maxsize=8)
def policy_tables(as_of: dt.date) -> dict:
    """The shipped policy in force on a day."""
    return shipped_policy().tables(as_of)


def build_world(sql: Path | None = None) -> World:
    world = World(con=duckdb.connect(":memory:", config={"threads": 1}), relations={})
    for name, path in relation_files(sql or sql_dir()).items():
        try:
            world.relations[name] = relation_from_file(path)
        except ValueError as fault:
            world.broken[name] = str(fault)
    try:
        world.relations[VERDICTS] = compiled_verdicts(world.relations, shipped_policy(), as_of=DEFAULT_AS_OF)
    except (KeyError, ValueError) as fault:
        world.broken[VERDICTS] = str(fault)
    create_store_inputs(world.con)
    create_kept_inputs(world.con, world.relations)
    fill_policy(world.con, policy_tables(DEFAULT_AS_OF))
    insert_parameters(world, None)
    for relation in in_order(_buildable(world)):
        try:
            world.con.execute(f"CREATE TABLE {relation.name} AS {relation.sql}")
            world.con.execute(f"DELETE FROM {relation.name}")
        except duckdb.Error as fault:
            world.broken[relation.name] = str(fault)
    return world


def _buildable(world: World) -> dict[str, Relation]:
    # One file that nobody can build must not hide what the other cases say.
    kept = dict(world.relations)
    while True:
        lost = {
            name: [source for source in relation.inputs if not is_loaded(source) and source not in kept]
            for name, relation in kept.items()
        }
        lost = {name: sources for name, sources in lost.items() if sources}
        if not lost:
            return kept
        for name, sources in lost.items():
            world.broken[name] = f"reads {', '.join(sources)}, which no file makes"
            del kept[name]


def insert_parameters(world: World, given: Table | None) -> None:
    """Fill review.parameters: a case says what matters to it, the rest follows from its as-of day."""
    said = dict(zip(given.columns, given.rows[0], strict=True)) if given else {}
    as_of = dt.date.fromisoformat(said.get("as_of") or DEFAULT_AS_OF.isoformat())
    previous = as_of - dt.timedelta(days=7)
    row = {
        "as_of": as_of.isoformat(),
        "known_at": f"{as_of} 06:00:00",
        "looked_at": f"{as_of} 06:00:00",
        "previous_as_of": previous.isoformat(),
        "previous_known_at": f"{previous} 23:59:59.999999",
        "is_first_audit": "false",
        "time_zone": "UTC",
        "held_for_days": "90",
        "audit_every_days": "7",
        "policy_fingerprint": "policy",
        "store_fingerprint": "store",
        "software_version": "0.1.0",
    } | said
    world.con.execute("DELETE FROM review.parameters")
    insert_rows(world.con, "review.parameters", Table(columns=tuple(row), rows=(tuple(row.values()),)))


def insert_rows(con: duckdb.DuckDBPyConnection, relation: str, table: Table) -> None:
    if not table.rows:
        return
    columns = ", ".join(f'"{name}"' for name in table.columns)
    # Text literals, not bound values: DuckDB gives a literal the type of the column it goes into, lists included.
    rows = ", ".join("(" + ", ".join(_literal(cell) for cell in row) + ")" for row in table.rows)
    con.execute(f"INSERT INTO {relation} ({columns}) VALUES {rows}")


def _literal(cell: str | None) -> str:
    return "NULL" if cell is None else "'" + cell.replace("'", "''") + "'"


def differences(world: World, case: Case, *, changed: Mapping[str, str] | None = None) -> list[str]:
    """Rows missing from or surplus to the expectation, as text; empty when the case holds.

    `changed` is the SELECT to run for a relation instead of its own.
    """
    if case.relation not in world.relations:
        return [f"no SQL file makes {case.relation}"]
    selects = {name: world.relations[name].sql for name in (*case.made, case.relation)} | dict(changed or {})
    con = world.con
    con.execute("BEGIN")
    try:
        _fill(world, case)
        for name in case.made:
            con.execute(f"INSERT INTO {name} {selects[name]}")
        con.execute(f"CREATE TEMP TABLE came_out AS {selects[case.relation]}")
        columns = ", ".join(f'"{name}"' for name in case.expect.columns)
        con.execute(f"CREATE TEMP TABLE expected AS SELECT {columns} FROM came_out LIMIT 0")
        insert_rows(con, "expected", case.expect)
        came_out = f"SELECT {columns} FROM came_out"
        missing = con.execute(f"FROM (SELECT * FROM expected EXCEPT ALL {came_out}) ORDER BY ALL").fetchall()
        surplus = con.execute(f"FROM ({came_out} EXCEPT ALL SELECT * FROM expected) ORDER BY ALL").fetchall()
    finally:
        con.execute("ROLLBACK")
    return [*_shown("expected, not there", missing, case), *_shown("there, not expected", surplus, case)]


def _fill(world: World, case: Case) -> None:
    as_of = None
    if parameters := case.given.get("review.parameters"):
        insert_parameters(world, parameters)
        as_of = dict(zip(parameters.columns, parameters.rows[0], strict=True)).get("as_of")
    if as_of and dt.date.fromisoformat(as_of) != DEFAULT_AS_OF:
        fill_policy(world.con, policy_tables(dt.date.fromisoformat(as_of)))
    for relation, table in case.given.items():
        if relation == "review.parameters":
            continue
        if relation not in world.relations and not is_loaded(relation):
            raise ValueError(f"{case.path.name}: given {relation}, which no file makes")
        world.con.execute(f"DELETE FROM {relation}")
        insert_rows(world.con, relation, table)


def _shown(what: str, rows: list[tuple], case: Case) -> Iterator[str]:
    for row in rows:
        cells = ", ".join(f"{name}={value}" for name, value in zip(case.expect.columns, row, strict=True))
        yield f"{what}: {cells}"
