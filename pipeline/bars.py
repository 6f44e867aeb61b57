"""Progress bars for somebody who watches."""

import sys
from typing import Any

import click


class Bars:
    """Progress as one bar for each thing that is counted, on a terminal only: a log file wants lines, not bars."""

    def __init__(self) -> None:
        self._what = ""
        self._bar: Any = None

    def __call__(self, what: str, done: int, total: int) -> None:
        if not sys.stderr.isatty():
            return
        if what != self._what:
            self.close()
            self._what = what
            self._bar = click.progressbar(length=max(total, 1), label=what, file=sys.stderr)
        self._bar.update(max(0, min(done, self._bar.length) - self._bar.pos))

    def close(self) -> None:
        if self._bar is not None:
            self._bar.render_finish()
            self._bar = None
