"""How long the sample's injuries took to heal, worked again in plain loops by the textbook.

Kaplan and Meier 1958, and cumulative incidence with death as the other end (Aalen and Johansen 1978), from memory.
"""

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from tests.end_to_end.trend_counts import SEEN_WITHIN, Records


@dataclass(frozen=True)
class Spell:
    """One injury from its first open look: its first stage, for how many days, and healed, died or open at the end."""

    stage: str
    days: int
    end: str


def spells(records: Records) -> list[Spell]:
    """Every time that a pressure injury was open."""
    died: dict[str, date] = {}
    for row in records.ask(
        "SELECT client_id, CAST(ended_at AS DATE) AS day FROM records.placements WHERE end_reason = 'died'"
    ):
        died[row.client_id] = min(row.day, died.get(row.client_id, row.day))
    found = []
    for looks in records.injuries:
        start = 0
        for place, look in enumerate(looks):
            is_last = place + 1 == len(looks)
            if is_last or (look.closed and not looks[place + 1].closed):
                found += _spell(records, looks[start : place + 1], died.get(look.client_id))
                start = place + 1
    return found


def _spell(records: Records, looks: list, died: date | None) -> list[Spell]:
    opened = next((look.seen for look in looks if not look.closed), None)
    if opened is None:
        return []
    stage = next((look.stage for look in looks if _is_staged(records, look)), "not_staged")
    healed = next((look.seen for look in looks if look.closed), None)
    if healed:
        return [Spell(stage, (healed - opened).days, "healed")]
    if died and timedelta(0) <= died - looks[-1].seen <= SEEN_WITHIN:
        return [Spell(stage, (died - opened).days, "died")]
    return [Spell(stage, (looks[-1].seen - opened).days, "open")]


def _is_staged(records: Records, look) -> bool:
    return look.stage == "mucosal" or records.depth(look) is not None


def by_then(found: list[Spell], day: int | None = None) -> tuple[Fraction, Fraction]:
    """Healed by that day, as came about and after Kaplan and Meier."""
    alone = still = Fraction(1)
    healed = Fraction(0)
    for days in sorted({spell.days for spell in found if day is None or spell.days <= day}):
        at_risk = sum(spell.days >= days for spell in found)
        ended = Counter(spell.end for spell in found if spell.days == days)
        healed += still * ended["healed"] / at_risk
        still *= 1 - Fraction(ended["healed"] + ended["died"], at_risk)
        alone *= 1 - Fraction(ended["healed"], at_risk)
    return healed, 1 - alone


def half_after(found: list[Spell]) -> int | None:
    """The first day by which half of them were healed."""
    days = sorted({spell.days for spell in found})
    return next((day for day in days if by_then(found, day)[0] >= Fraction(1, 2)), None)
