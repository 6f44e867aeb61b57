"""Reading the published warehouse, and saying in one number whether two warehouses hold the same."""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

import duckdb
import pyarrow as pa

from pipeline.errors import NoWarehouse, WarehouseUnfit

PLAIN_TYPES = {
    "string": "VARCHAR",
    "date32[day]": "DATE",
    "timestamp[us]": "TIMESTAMP",
    "int32": "INTEGER",
    "int64": "BIGINT",
    "bool": "BOOLEAN",
}


def sql_type(kind: pa.DataType) -> str:
    """The engine's type for a column that is that in Arrow or Parquet."""
    if pa.types.is_list(kind):
        return f"{sql_type(kind.value_type)}[]"
    if pa.types.is_struct(kind):
        return "STRUCT(" + ", ".join(f'"{field.name}" {sql_type(field.type)}' for field in kind) + ")"
    if pa.types.is_decimal(kind):
        return f"DECIMAL({kind.precision},{kind.scale})"
    return PLAIN_TYPES[str(kind)]


def arrow_table(
    con: duckdb.DuckDBPyConnection, columns: Mapping[str, Sequence[object]], *, kinds: Mapping[str, pa.DataType]
) -> pa.Table:
    """Lists of equal length, by column, as one Arrow table.

    By way of the engine: Arrow would load all of pandas to read a list, which takes longer than everything else that a
    policy is read for.
    """
    lists = ", ".join(f'unnest(CAST(? AS {sql_type(kinds[name])}[])) AS "{name}"' for name in columns)
    return con.sql(f"SELECT {lists}", params=[list(values) for values in columns.values()]).to_arrow_table()


def require(path: Path) -> None:
    """Raise NoWarehouse when there is no file yet; whether it can be read is for whoever opens it."""
    if not path.is_file():
        raise NoWarehouse(
            what=f"There is no warehouse at {path.name} yet.",
            done="Nothing was read.",
            todo="Run `caseround run` in this workspace first.",
        )


def open_readonly(
    path: Path, *, seconds: int | None = None, threads: int = 2, memory: str | None = None
) -> duckdb.DuckDBPyConnection:
    """A connection that can read the warehouse and nothing else on this machine.

    `seconds`: give up on a query after that long; None waits. `memory`: how much the engine may use, like "1GB"; None
    leaves it to the engine. Raises NoWarehouse when there is no file yet, and WarehouseUnfit when no engine of this
    version can open it.
    """
    require(path)
    limits = {"threads": threads, "temp_directory": ""} | ({"memory_limit": memory} if memory else {})
    try:
        con = duckdb.connect(str(path), read_only=True, config=limits)
    except (duckdb.IOException, duckdb.SerializationException, duckdb.CatalogException):
        why = "another version made it, or it is damaged"
        raise unfit(f"{path.name} is no warehouse that this version can open: {why}.") from None
    # The last of them would let a query name a variable of this program as if it were a table.
    for name in (
        "autoload_known_extensions", "autoinstall_known_extensions", "allow_community_extensions",
        "python_enable_replacements",
    ):  # fmt: skip
        con.execute(f"SET {name} = false")
    con.execute("SET enable_external_access = false")
    if seconds is not None:
        con.execute(f"SET max_execution_time = {int(seconds) * 1000}")
    # Last, because after it nothing can be loosened again.
    con.execute("SET lock_configuration = true")
    return con


@contextmanager
def reading(path: Path) -> Iterator[duckdb.DuckDBPyConnection]:
    """The warehouse, open for queries of our own, while this lasts.

    Raises NoWarehouse, and WarehouseUnfit also where a query names what the warehouse lacks: our queries are right for
    a warehouse of our own version, so another version made it.
    """
    con = open_readonly(path)
    try:
        yield con
    except (duckdb.CatalogException, duckdb.BinderException):
        raise unfit(f"{path.name} lacks what this version reads: another version made it.") from None
    finally:
        con.close()


def unfit(what: str) -> WarehouseUnfit:
    """The error for a warehouse that this version cannot read."""
    return WarehouseUnfit(
        what=what,
        done="Nothing was written.",
        todo="Make it again from the store: `caseround review`, then `caseround report` for its pages.",
    )


def quoted(relation: str) -> str:
    """schema.name as SQL, each part in double quotes."""
    return ".".join('"' + part.replace('"', '""') + '"' for part in relation.split("."))


def relations(con: duckdb.DuckDBPyConnection) -> tuple[str, ...]:
    """schema.name of every table that the file holds, in name order; a view holds nothing of its own."""
    rows = con.execute(
        "SELECT table_schema || '.' || table_name FROM information_schema.tables "
        "WHERE table_catalog = current_database() AND table_type = 'BASE TABLE' "
        "AND table_schema NOT IN ('information_schema', 'pg_catalog') ORDER BY 1"
    ).fetchall()
    return tuple(row[0] for row in rows)


def digest(con: duckdb.DuckDBPyConnection, relation: str) -> tuple[int, int]:
    """(rows, sum): equal for two relations that hold the same rows in any order.

    The sum adds up, as HUGEINT, the lower half of the md5 of every row's columns as text. DuckDB files differ in bytes
    for equal content, so content is what is compared.
    """
    described = con.execute(f"SELECT * FROM {quoted(relation)} LIMIT 0").description
    # Written as texts and not as chr(30) and chr(31), which the engine would work out again for every column.
    cells = ", ".join(f"coalesce(CAST({quoted(column[0])} AS VARCHAR), '\x1e')" for column in described)
    count, total = con.execute(
        f"SELECT count(*), coalesce(sum(CAST(md5_number_lower(concat_ws('\x1f', {cells})) AS HUGEINT)), 0) "
        f"FROM {quoted(relation)}"
    ).fetchone()
    return int(count), int(total)


def manifest(con: duckdb.DuckDBPyConnection) -> tuple[str, list[tuple[str, int, int]]]:
    """(sha256, rows): the digest of every relation as (relation, count, sum), and one fingerprint over all of them."""
    rows = [(name, *digest(con, name)) for name in relations(con)]
    return fingerprint(rows), rows


def fingerprint(rows: list[tuple[str, int, int]]) -> str:
    """sha256 of the sorted lines "relation count sum"."""
    lines = sorted(f"{name} {count} {total}" for name, count, total in rows)
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()
