"""What a chart makes of counts, worked out by a reference library and plain loops: intervals, limits, signals.

Wilson 1927 and the exact Poisson interval (Garwood 1936) are SciPy's; p and u charts by the usual formulas
(Montgomery); the rules are those of tests/frozen_policy/signals.md, whose sources stand in the policy's blocks.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise
from math import sqrt

from scipy.stats import binomtest, chi2

BASELINE_MONTHS, FEWEST_EVENTS, PER = 12, 12, 1000


@dataclass
class Point:
    """One month of one measure; rates in the page's unit: per cent, or for each thousand person-days."""

    many: int
    of: int
    is_share: bool
    is_provisional: bool = False
    centre: float | None = None
    sigma: float = 0.0
    signal: str | None = None

    @property
    def unit(self) -> int:
        return 100 if self.is_share else PER

    @property
    def rate(self) -> float:
        return self.unit * self.many / self.of

    @property
    def interval(self) -> tuple[float, float]:
        if self.is_share:
            low, high = binomtest(self.many, self.of).proportion_ci(method="wilson")
            return 100 * low, 100 * high
        low = chi2.ppf(0.025, 2 * self.many) / 2 if self.many else 0.0
        return PER * low / self.of, PER * chi2.ppf(0.975, 2 * self.many + 2) / 2 / self.of

    @property
    def limits(self) -> tuple[float, float]:
        top = self.centre + 3 * self.sigma
        return max(self.centre - 3 * self.sigma, 0.0), min(top, 100.0) if self.is_share else top

    @property
    def sigmas(self) -> float:
        return (self.rate - self.centre) / self.sigma


def judge(points: list[Point]) -> int:
    """Give every month its centre, and the settled ones their signals; returns the events of the baseline."""
    settled = [point for point in points if not point.is_provisional]
    baseline = settled[:BASELINE_MONTHS]
    events = sum(point.many for point in baseline)
    usual = events / sum(point.of for point in baseline)
    for point in points:
        point.centre = point.unit * usual
        point.sigma = point.unit * sqrt(usual * (1 - usual if point.is_share else 1) / point.of)
    if events >= FEWEST_EVENTS:
        for place, point in enumerate(settled):
            point.signal = signal_of(settled, place)
    return events


def signal_of(points: list[Point], place: int) -> str | None:
    """The gravest rule that speaks of the month at a place: outside, in the outer third, a run, a slope."""
    far = [point.sigmas for point in points]
    if abs(far[place]) > 3:
        return "outside_limit_high" if far[place] > 0 else "outside_limit_low"
    rules = {"outer_third": 3, "one_side": 7, "steady": 7}
    for rule, length in rules.items():
        ends = range(place, place + length) if rule == "outer_third" else [place]
        for end in ends:
            window = points[max(end - length + 1, 0) : end + 1]
            if end < len(points) and len(window) == length and (way := speaks(rule, window)):
                return f"{rule}_{way}"
    return None


def speaks(rule: str, window: list[Point]) -> str | None:
    """high or low when every month of the window says so."""
    for way, sign in (("high", 1), ("low", -1)):
        far = [sign * point.sigmas for point in window]
        rates = [sign * point.rate for point in window]
        if rule == "steady" and all(later > earlier for earlier, later in pairwise(rates)):
            return way
        is_far = rule == "one_side" or sum(value > 2 for value in far) >= 2
        if rule != "steady" and is_far and all(value > 0 for value in far):
            return way
    return None


def tenth(value: float) -> str:
    """As the page writes it; four places first, because that is what the warehouse keeps of a share in per cent."""
    kept = Decimal(repr(float(value))).quantize(Decimal("0.0001"), ROUND_HALF_UP)
    return f"{kept.quantize(Decimal('0.1'), ROUND_HALF_UP):,}"
