"""How much a query may use, and what ends it when it uses more."""

import resource
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import duckdb

# What the engine's own account does not see: text and lists that one step makes, and rows on their way out.
BESIDE_THE_ENGINE = 10**9


@dataclass(frozen=True)
class Limits:
    """`seconds`: from the first step to the last row. `memory_mb`: what the engine may use. `threads`: cores."""

    seconds: int = 60
    memory_mb: int = 1_000
    threads: int = 2


class Watch:
    """Interrupts a connection when its time is up; `is_over` stays true afterwards."""

    def __init__(self, con: duckdb.DuckDBPyConnection, seconds: float) -> None:
        self.is_over = False
        self._con = con
        self._timer = threading.Timer(seconds, self._ring)
        # A query that has ended must not keep the program waiting for its alarm.
        self._timer.daemon = True

    def __enter__(self) -> "Watch":
        self._timer.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._timer.cancel()

    def _ring(self) -> None:
        self.is_over = True
        self._con.interrupt()


@contextmanager
def bounded_memory(limits: Limits) -> Iterator[None]:
    """Let the kernel refuse memory beyond the limit while this lasts.

    The engine counts its tables and not every text: one call of repeat() took 14 GB under its limit of 1 GB. A process
    can read how much it holds on Linux only; elsewhere the engine's own limit and the time are what bounds a query.
    """
    held = _bytes_held()
    if held is None:
        yield
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_DATA)
    wanted = held + limits.memory_mb * 10**6 + BESIDE_THE_ENGINE
    within = [limit for limit in (soft, hard, wanted) if limit != resource.RLIM_INFINITY]
    resource.setrlimit(resource.RLIMIT_DATA, (min(within), hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_DATA, (soft, hard))


def _bytes_held() -> int | None:
    status = Path("/proc/self/status")
    if not status.is_file():
        return None
    lines = (line.split() for line in status.read_text(encoding="ascii", errors="replace").splitlines())
    return next((int(words[1]) * 1024 for words in lines if words and words[0] == "VmData:"), None)
