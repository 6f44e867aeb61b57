"""Is a text one statement that only reads? The connection would refuse the rest too; here it is told why."""

import json
from collections.abc import Iterator
from typing import Any

import duckdb

from pipeline.errors import QueryRefused

# Functions that stand where a table stands. Those that read files, list folders or run other text are not among them.
ROW_MAKERS = frozenset(
    {
        *("range", "generate_series", "unnest", "repeat", "pragma_table_info"),
        *("duckdb_tables", "duckdb_views", "duckdb_columns", "duckdb_schemas", "duckdb_functions", "duckdb_types"),
    }
)
CHANGES = {
    "INSERT_QUERY_NODE": "INSERT",
    "UPDATE_QUERY_NODE": "UPDATE",
    "DELETE_QUERY_NODE": "DELETE",
    "MERGE_QUERY_NODE": "MERGE",
    "COPY_QUERY_NODE": "COPY",
}
NOT_RUN = "It was not run, and nothing was changed."


def must_be_one_select(con: duckdb.DuckDBPyConnection, sql: str) -> None:
    """Raises QueryRefused unless the text is exactly one SELECT that names nothing but relations and ROW_MAKERS."""
    try:
        statements = con.extract_statements(sql)
    except duckdb.Error as error:
        raise QueryRefused(
            what=f"The query is not SQL that the engine can read: {first_line(error)}.",
            done=NOT_RUN,
            todo="Mend it; column and relation names are in `caseround relations` and in warehouse_guide.html.",
        ) from None
    if len(statements) != 1:
        raise QueryRefused(
            what="A query is one statement.",
            size=f"This text holds {len(statements)}.",
            done=NOT_RUN,
            todo="Ask them one at a time.",
        )
    if statements[0].type == duckdb.StatementType.MULTI:
        raise QueryRefused(
            what="The engine would need several statements for this one: a PIVOT must look its values up first.",
            done=NOT_RUN,
            todo="Name the values: PIVOT ... ON column IN ('a', 'b'), or count with FILTER (WHERE ...).",
        )
    if statements[0].type != duckdb.StatementType.SELECT:
        raise _only_reads(statements[0].type.name)
    for found in _found_in(_tree(con, sql)):
        raise found


def first_line(error: BaseException) -> str:
    """What the engine says of a query's own words, without the copy of the query below it."""
    return str(error).partition("\n")[0].strip().rstrip(".!")


def reads_only_relations(but: str) -> QueryRefused:
    """The refusal of a query that looks elsewhere; `but` says what this one does."""
    return QueryRefused(
        what=f"A query reads the relations of the warehouse and nothing else on this machine, and this one {but}.",
        done=NOT_RUN,
        todo="Use the relations that `caseround relations` lists.",
    )


def _only_reads(kind: str) -> QueryRefused:
    return QueryRefused(
        what=f"A query only reads, and this one is or holds {kind.replace('_', ' ')}.",
        done=NOT_RUN,
        todo="Ask with SELECT. What the warehouse holds is changed by `caseround run` alone.",
    )


def _tree(con: duckdb.DuckDBPyConnection, sql: str) -> Any:
    # A statement that the engine cannot write down as a tree gives an error inside the tree, and is left to the engine.
    return json.loads(con.execute("SELECT CAST(json_serialize_sql(?::VARCHAR) AS VARCHAR)", [sql]).fetchall()[0][0])


def _found_in(node: Any) -> Iterator[QueryRefused]:
    if isinstance(node, list):
        for part in node:
            yield from _found_in(part)
    if not isinstance(node, dict):
        return
    if node.get("type") in CHANGES:
        yield _only_reads(CHANGES[node["type"]])
    if node.get("type") == "TABLE_FUNCTION":
        name = str(node["function"].get("function_name", "")).lower()
        if name not in ROW_MAKERS:
            yield reads_only_relations(f"calls {name}()")
    for part in node.values():
        yield from _found_in(part)
