"""Which audit is built: the day it looks at, what it knows, and the audit before it."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from pipeline import __version__, instants
from pipeline.settings import Workspace


@dataclass(frozen=True)
class Moment:
    """One audit: the day it looks at, inclusive to its end, and the aware UTC instant up to which it knows."""

    as_of: date
    known_at: datetime


def moment_before(workspace: Workspace, moment: Moment) -> Moment:
    """The audit before, by the workspace's rhythm; it knew nothing that came after the end of its own day."""
    day = moment.as_of - timedelta(days=workspace.audit_every_days)
    return Moment(as_of=day, known_at=min(moment.known_at, instants.end_of_day(day, workspace.time_zone)))


def parameters(
    workspace: Workspace, moment: Moment, *, is_first_audit: bool, policy_fingerprint: str, store_fingerprint: str
) -> dict[str, Any]:
    """The one row of review.parameters; durations are measured to `looked_at`, which never lies after either time."""
    zone = workspace.time_zone
    before = moment_before(workspace, moment)
    looked_at = min(instants.end_of_day(moment.as_of, zone), moment.known_at)
    return {
        "as_of": moment.as_of,
        "known_at": _naive(moment.known_at),
        "looked_at": instants.local(looked_at, zone),
        "previous_as_of": before.as_of,
        "previous_known_at": _naive(before.known_at),
        "is_first_audit": is_first_audit,
        "time_zone": zone,
        "held_for_days": workspace.held_for_days,
        "audit_every_days": workspace.audit_every_days,
        "policy_fingerprint": policy_fingerprint,
        "store_fingerprint": store_fingerprint,
        "software_version": __version__,
    }


def _naive(moment: datetime) -> datetime:
    return moment.astimezone(UTC).replace(tzinfo=None)
