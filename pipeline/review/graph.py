"""The relations of the warehouse, found from the SQL files, and the order in which they are built."""

import graphlib
import heapq
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from pipeline.review.headers import Header, parse_header, without_header

# These two schemas are loaded by Python, so no relation below them may be looked for in a file.
LOADED_SCHEMAS = ("policy", "review", "store")
NOT_RELATIONS = ("checks",)

_WORD = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
# Every relation is written with its schema and every CTE without, so the words before a name tell it from a column. A
# parser says the same of every file, which the lint holds, and would take half a second of every review.
_READS = re.compile(r"\b(?:FROM|JOIN)\s+(\w+\.\w+)", re.IGNORECASE)
_READS_NOTHING = re.compile(
    r"'(?:[^']|'')*'|--[^\n]*|\bEXTRACT\s*\(\s*\w+\s+FROM\b|\bDISTINCT\s+FROM\b", re.IGNORECASE
)
# `a.*` or a star after SELECT or a comma: the star of COUNT(*) and of a product takes no column.
_TAKES_ALL = re.compile(r"\.\s*\*|\bSELECT\s+(?:DISTINCT\s+)?\*|,\s*\*", re.IGNORECASE)


@dataclass(frozen=True)
class Relation:
    """One relation: `sql` is its SELECT without the header; `inputs` are the relations that the SELECT really reads."""

    name: str
    sql: str
    header: Header
    inputs: tuple[str, ...]
    path: Path | None = None


def load_relations(sql_dir: Path) -> dict[str, Relation]:
    """Every `sql/<schema>/<name>.sql` as `schema.name`, sorted by name; checks are not relations."""
    return {name: relation_from_file(path) for name, path in relation_files(sql_dir).items()}


def relation_files(sql_dir: Path) -> dict[str, Path]:
    """The file of each relation, by the relation's name, sorted."""
    paths = sorted(path for path in sql_dir.glob("*/*.sql") if path.parent.name not in NOT_RELATIONS)
    return {f"{path.parent.name}.{path.stem}": path for path in paths}


def relation_from_file(path: Path) -> Relation:
    """The relation that one file makes; its name is its path."""
    return relation_from_text(f"{path.parent.name}.{path.stem}", path.read_text(encoding="utf-8"), path=path)


def relation_from_text(name: str, text: str, *, path: Path | None = None) -> Relation:
    """A relation from the text of its file; ValueError says which file has a header that cannot be read."""
    try:
        sql = without_header(text)
        return Relation(name=name, sql=sql, header=parse_header(text), inputs=true_inputs(sql), path=path)
    except ValueError as fault:
        raise ValueError(f"{name}: {fault}") from None


def true_inputs(sql: str) -> tuple[str, ...]:
    """The `schema.name` relations that a SELECT reads, sorted; a CTE has no schema and is left out."""
    return tuple(sorted(set(_READS.findall(_READS_NOTHING.sub(" ", sql)))))


def in_order(relations: Mapping[str, Relation]) -> tuple[Relation, ...]:
    """Relations after everything they read, ties by name; graphlib.CycleError when two read each other.

    A relation that is neither here nor loaded by Python raises ValueError: a typing slip must not read as no rows.
    """
    sorter: graphlib.TopologicalSorter = graphlib.TopologicalSorter()
    for relation in relations.values():
        inputs = [name for name in relation.inputs if not is_loaded(name)]
        for name in inputs:
            if name not in relations:
                raise ValueError(f"{relation.name} reads {name}, which no file makes")
        sorter.add(relation.name, *inputs)
    sorter.prepare()
    ready = list(sorter.get_ready())
    heapq.heapify(ready)
    ordered = []
    while ready:
        name = heapq.heappop(ready)
        ordered.append(relations[name])
        sorter.done(name)
        for follower in sorter.get_ready():
            heapq.heappush(ready, follower)
    return tuple(ordered)


def ancestors(relations: Mapping[str, Relation], names: Iterable[str]) -> dict[str, Relation]:
    """The named relations and everything that they read, directly or not."""
    wanted: dict[str, Relation] = {}
    waiting = [name for name in names if name in relations]
    while waiting:
        name = waiting.pop()
        if name not in wanted:
            wanted[name] = relations[name]
            waiting += [source for source in relations[name].inputs if source in relations]
    return dict(sorted(wanted.items()))


def columns_wanted(relation: Relation, readers: Iterable[Relation]) -> tuple[str, ...]:
    """The columns of a relation whose name stands anywhere in the SQL of those that read it, in the header's order.

    A name that means another relation's column is kept too, and a reader that takes everything keeps everything: this
    may be generous and never short.
    """
    names = tuple(column.name for column in relation.header.columns)
    words: set[str] = set()
    for reader in readers:
        if relation.name in reader.inputs:
            if _TAKES_ALL.search(reader.sql):
                return names
            words.update(_WORD.findall(reader.sql))
    return tuple(name for name in names if name in words)


def is_loaded(name: str) -> bool:
    """Whether Python loads this relation before the first SELECT runs."""
    return name.partition(".")[0] in LOADED_SCHEMAS
