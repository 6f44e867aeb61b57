"""Days and instants, without a clock.

Stored instants are UTC; what a person reads or a rule measures is local time of the workspace's zone. Nothing in this
package asks what time it is now: the command line does that once and passes the answer down.
"""

from datetime import UTC, date, datetime, time, tzinfo
from zoneinfo import ZoneInfo


def _zone(zone: str | tzinfo) -> tzinfo:
    return ZoneInfo(zone) if isinstance(zone, str) else zone


def parse_instant(text: str, zone: str | tzinfo) -> datetime:
    """An instant typed by a person, as aware UTC.

    A bare day means its local end, a time without an offset is local (in the repeated hour of autumn: the first), and
    the compact form 20260105T060000Z is read too. Raises ValueError for anything else.
    """
    cleaned = text.strip()
    try:
        return end_of_day(date.fromisoformat(cleaned), zone)
    except ValueError:
        pass
    moment = datetime.fromisoformat(cleaned)
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=_zone(zone))
    return moment.astimezone(UTC)


def end_of_day(day: date, zone: str | tzinfo) -> datetime:
    """The last microsecond of a local day, as aware UTC."""
    return datetime.combine(day, time.max, tzinfo=_zone(zone)).astimezone(UTC)


def local(moment: datetime, zone: str | tzinfo) -> datetime:
    """An aware instant as the naive time that a clock on the wall of the zone shows."""
    return moment.astimezone(_zone(zone)).replace(tzinfo=None)


def local_to_utc(moment: datetime, zone: str | tzinfo) -> datetime:
    """A naive local time as aware UTC; in the repeated hour of autumn it is the first."""
    return moment.replace(tzinfo=_zone(zone), fold=0).astimezone(UTC)


def compact(moment: datetime) -> str:
    """20260105T060000Z: an instant as a folder name. Fractions of a second are cut off."""
    return moment.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")


def iso(moment: datetime) -> str:
    """2026-01-05T06:00:00Z, with microseconds only where there are any."""
    return moment.astimezone(UTC).isoformat().replace("+00:00", "Z")
