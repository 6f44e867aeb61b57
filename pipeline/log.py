"""What a run leaves behind for the person on call: one JSON object per line, with numbers and codes only."""

import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

# How a step says how far it is: (what, done so far, of how many).
Progress = Callable[[str, int, int], None]
Fact = str | int | float | bool | None


def no_progress(what: str, done: int, total: int) -> None:
    """For callers that show nothing: tests, and runs without a terminal."""


class RunLog:
    """Appends events to a file as they happen, so that a killed run's log ends where the run did.

    Args: `path` of the log, or None to keep nothing; `clock`, which the command line hands down because nothing below
    it asks for the time. Events take numbers, codes, file names and relation names. A list or an object is refused:
    those are how cell values would get in. `moments` holds when each event last happened, for durations.
    """

    def __init__(self, path: Path | None = None, clock: Callable[[], datetime] | None = None) -> None:
        self._path = path
        self._clock = clock
        self.moments: dict[str, datetime] = {}

    def event(self, name: str, **facts: Fact) -> None:
        """Write one line. Raises TypeError for a fact that is not one number, code or name."""
        for key, fact in facts.items():
            if not (fact is None or isinstance(fact, str | int | float | bool)):
                raise TypeError(f"log fact {key} of {name} is a {type(fact).__name__}; only numbers and codes are kept")
        moment = {}
        if self._clock is not None:
            self.moments[name] = self._clock().astimezone(UTC)
            moment["at"] = self.moments[name].isoformat(timespec="milliseconds")
        if self._path is None:
            return
        with self._path.open("a", encoding="utf-8") as lines:
            lines.write(json.dumps({**moment, "event": name, **facts}, ensure_ascii=False) + "\n")
