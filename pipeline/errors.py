"""Every way a run can end early, each with the exit code that a scheduler sees.

A message answers four questions in order: what happened, how big it is, what was done about it, what to do now.
It names files, rows, columns and codes, never the value of a cell.
"""

DONE = 0
BUG = 1
TYPED_WRONGLY = 2
FILE_REFUSED = 11
TOO_MANY_HELD = 12
FEED_LATE = 16
INTERRUPTED = 130

# When several of these hold at once, the first in this order is the exit code: the worst news wins.
WORST_FIRST = (BUG, 13, FILE_REFUSED, TOO_MANY_HELD, FEED_LATE)


class CaseroundError(Exception):
    """Base of all errors that a person can act on; anything else that escapes is a bug (exit 1)."""

    exit_code = BUG

    def __init__(self, *, what: str, size: str = "", done: str = "", todo: str = "") -> None:
        self.what = what
        self.size = size
        self.done = done
        self.todo = todo
        super().__init__(" ".join(part for part in (what, size, done, todo) if part))


class PolicyUnsound(CaseroundError):
    """A policy file contradicts itself, names something unknown, or lacks what a block must have."""

    exit_code = 10


class SettingsUnsound(CaseroundError):
    """caseround.toml, or the folder it should lie in, cannot be used."""

    exit_code = 10


class ChecksDisagree(CaseroundError):
    """The review was built, its own checks found rows that may not exist, and nothing was published."""

    exit_code = 13


class WorkspaceBusy(CaseroundError):
    """Another run holds the workspace."""

    exit_code = 14


class NoWarehouse(CaseroundError):
    """A command needs a published warehouse and there is none yet."""

    exit_code = 15


class WarehouseUnfit(NoWarehouse):
    """There is a warehouse, and this version cannot read it: another version made it, or it is damaged."""


class VerifyFoundChange(CaseroundError):
    """Something in the store, the warehouse or the audits differs from what was published."""

    exit_code = 17


class QueryRefused(CaseroundError):
    """A query that may not run, cannot run, or ran past its limits; who typed it mends it."""

    exit_code = TYPED_WRONGLY


class NobodyOfThatId(CaseroundError):
    """The person that was asked for is in no accepted row."""

    exit_code = TYPED_WRONGLY
