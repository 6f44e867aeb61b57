"""last_run.json: what the last commands did, how long it took, and the sums that `verify` holds the workspace to."""

import hashlib
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from pipeline import __version__, files
from pipeline.errors import BUG, DONE, INTERRUPTED, CaseroundError
from pipeline.instants import iso
from pipeline.log import RunLog


class RunRecord:
    """Collects the facts of one command and keeps those of steps that this command did not run.

    Durations are seconds between two readings of `clock`; they live here and in the log only, so that the warehouse and
    the pages stay the same for the same inputs.
    """

    def __init__(self, path: Path, *, command: str, clock: Callable[[], datetime], log: RunLog) -> None:
        self._path = path
        self._clock = clock
        self._log = log
        self._started = clock()
        before = read(path)
        self._steps: dict[str, Any] = before.get("steps", {})
        self._published: dict[str, Any] = before.get("published", {})
        self._command = command

    @contextmanager
    def step(self, name: str) -> Iterator[dict[str, Any]]:
        """Time one step; what the caller puts into the dict is kept with it. A step that raises is kept as failed."""
        facts: dict[str, Any] = {}
        began = self._clock()
        self._log.event("step_began", step=name)
        outcome = "failed"
        try:
            yield facts
            outcome = "done"
        finally:
            seconds = round((self._clock() - began).total_seconds(), 3)
            self._steps[name] = {"outcome": outcome, "seconds": seconds, **facts}
            self._log.event("step_ended", step=name, outcome=outcome, seconds=seconds)

    def published(self, **sums: str) -> None:
        """Remember fingerprints of what readers can now see."""
        self._published.update(sums)

    @contextmanager
    def kept(self) -> Iterator[list[int]]:
        """Write the record when the command ends, well or badly; the caller appends the exit codes that hold."""
        exits: list[int] = []
        code = INTERRUPTED
        try:
            yield exits
            code = exits[0] if exits else DONE
        except CaseroundError as error:
            code = error.exit_code
            raise
        except Exception:
            code = BUG
            raise
        finally:
            self._write(code, exits)

    def _write(self, code: int, exits: list[int]) -> None:
        ended = self._clock()
        content = {
            "command": self._command,
            "software_version": __version__,
            "started_at": iso(self._started),
            "ended_at": iso(ended),
            "seconds": round((ended - self._started).total_seconds(), 3),
            "exit_code": code,
            "exits": exits or [code],
            "steps": self._steps,
            "published": self._published,
        }
        self._log.event("command_ended", command=self._command, exit_code=code, seconds=content["seconds"])
        files.write_atomically(self._path, (json.dumps(content, indent=2, ensure_ascii=False) + "\n").encode())


def read(path: Path) -> dict[str, Any]:
    """The last record, or an empty one when there is none or it cannot be read."""
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except (FileNotFoundError, ValueError):
        return {}
    return content if isinstance(content, dict) else {}


def sha256_of(path: Path) -> str:
    """sha256 of a file's bytes as hex, read in pieces so that a large warehouse does not fill the memory."""
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()
