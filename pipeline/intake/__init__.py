"""Files of the inbox to immutable rows of the store: read once, checked, accepted or held with the reason, receipted.

Parsing needs DuckDB, pandas and pandera, so they are imported when the first file is taken in and not before.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from pipeline.intake.outcome import FileOutcome, IntakeOutcome
from pipeline.log import Progress, RunLog
from pipeline.settings import Workspace

__all__ = ["FileOutcome", "IntakeOutcome", "take_in"]


def take_in(
    workspace: Workspace, policy: Any, *, received_at: datetime, progress: Progress, log: RunLog
) -> IntakeOutcome:
    """See `pipeline.intake.taking.take_in`."""
    from pipeline.intake import taking

    return taking.take_in(workspace, policy, received_at=received_at, progress=progress, log=log)
