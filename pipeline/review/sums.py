"""The content sums of a warehouse that is being built, taken beside the steps that go on building it."""

from concurrent.futures import Future, ThreadPoolExecutor
from types import TracebackType
from typing import Self

import duckdb

from pipeline import warehouse

# The steps go on meanwhile on threads of their own, so a second sum beside them only makes all of them wait.
AT_A_TIME = 1


class ContentSums:
    """Sums each table of the database `built` once, in threads of its own; a context manager that ends them."""

    def __init__(self, con: duckdb.DuckDBPyConnection) -> None:
        self._con = con
        self._pool = ThreadPoolExecutor(max_workers=AT_A_TIME)
        self._sums: dict[str, Future[tuple[int, int]]] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._pool.shutdown(cancel_futures=True)

    def add(self, name: str) -> None:
        """Start on a table that will not change any more."""
        self._sums[name] = self._pool.submit(self._one, name)

    def all(self) -> list[tuple[str, int, int]]:
        """(relation, rows, sum) of every table of the file in name order, those that nobody added included."""
        names = [name for name in warehouse.relations(self._con) if name not in warehouse.NOT_DIGESTED]
        for name in names:
            if name not in self._sums:
                self.add(name)
        return [(name, *self._sums[name].result()) for name in names]

    def _one(self, name: str) -> tuple[int, int]:
        with self._con.cursor() as reader:
            reader.execute("USE built")
            return warehouse.digest(reader, name)
