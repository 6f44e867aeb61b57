"""A run of months as inline SVG: the rate, what is usual, the limits, and a shape for each month beyond chance.

Places across are percentages and heights are pixels, without a viewBox, as in the bars: so the picture fits a phone
while its words stay as large as the page's. Nothing is told by colour alone: a month that speaks has a shape of its
own, a provisional month is hollow, and every line has its word at its end.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from html import escape

from markupsafe import Markup

PLOT_HEIGHT, TOP, BOTTOM = 240, 28, 34
# Per cent of the width: months lie between these, and what is right of them is for the words at the ends of the lines.
LEFT, RIGHT = 10.0, 80.0
LABEL_APART = 20
# Drawn around the month's own place. A diamond, a square and a triangle are told apart in greyscale and when small.
SHAPES = {"worse": "M0 -9 L9 0 L0 9 L-9 0 Z", "better": "M-7 -7 H7 V7 H-7 Z", "change": "M0 -9 L8 7 H-8 Z"}
STEPS = (Decimal("0.1"), Decimal("0.2"), Decimal("0.5"), Decimal(1), Decimal(2), Decimal(5))


@dataclass(frozen=True)
class Month:
    """One month: what is shown of it in the chart's own unit; None where there is nothing to show.

    `mark` is worse, better or change for a month that is more than chance.
    """

    words: str
    rate: Decimal | None
    centre: Decimal | None = None
    lower_limit: Decimal | None = None
    upper_limit: Decimal | None = None
    is_provisional: bool = False
    mark: str | None = None


def line_chart(months: Sequence[Month], *, name: str, title: str, description: str, unit: str = "") -> Markup:
    """The months in the order given, from zero upwards.

    Args: `name` makes the ids unique on the page; `title` and `description` are what a screen reader says; `unit`
    follows the numbers of the scale. Raises ValueError if a word is missing or a rate is negative.
    """
    if not (title.strip() and description.strip()):
        raise ValueError(f"The picture {name} needs a title and a description: without them it says nothing to some.")
    heights = [value for month in months for value in (month.rate, month.upper_limit) if value is not None]
    if any(month.rate is not None and month.rate < 0 for month in months):
        raise ValueError(f"The picture {name} has a negative rate; the scale starts at zero.")
    step = _step(max(heights, default=Decimal(0)))
    scale = _Scale(months=len(months), top=step * _steps_needed(max(heights, default=Decimal(0)), step))
    drawn = [
        *_grid(scale, step=step, unit=unit), *_limits(months, scale), *_line(months, scale),
        *_points(months, scale, name=name), *_ends(months, scale), *_axis(months, scale),
    ]  # fmt: skip
    return Markup(
        "\n".join(
            (
                f'<svg class="picture" role="img" width="100%" height="{TOP + PLOT_HEIGHT + BOTTOM}"'
                f' aria-labelledby="{name}-title {name}-description">',
                f'<title id="{name}-title">{escape(title)}</title>',
                f'<desc id="{name}-description">{escape(description)}</desc>',
                _shapes(name),
                *drawn,
                "</svg>",
            )
        )
    )


@dataclass(frozen=True)
class _Scale:
    months: int
    top: Decimal

    def x(self, place: float) -> float:
        """Per cent of the width of a month's middle; a half more or less is its edge."""
        return LEFT + (RIGHT - LEFT) * (place + 0.5) / max(self.months, 1)

    def y(self, value: Decimal) -> float:
        """Pixels from the top."""
        return TOP + PLOT_HEIGHT * (1 - float(min(value, self.top) / self.top))


def _step(highest: Decimal) -> Decimal:
    """The smallest round step of which five reach the highest value."""
    power = Decimal(1)
    while highest > 5 * STEPS[-1] * power:
        power *= 10
    while Decimal(0) < highest <= 5 * STEPS[0] * power / 10:
        power /= 10
    return next(step * power for step in STEPS if highest <= 5 * step * power)


def _steps_needed(highest: Decimal, step: Decimal) -> int:
    whole, rest = divmod(highest, step)
    return max(int(whole) + (rest > 0), 1)


def _grid(scale: _Scale, *, step: Decimal, unit: str) -> Iterator[str]:
    value = Decimal(0)
    while value <= scale.top:
        y = scale.y(value)
        yield f'<line class="plot-grid" x1="0" x2="{RIGHT:.2f}%" y1="{y:.1f}" y2="{y:.1f}"/>'
        words = f"{value.normalize() + 0:,f}{unit if value else ''}"
        yield f'<text class="plot-scale" x="0" y="{y - 5:.1f}">{escape(words)}</text>'
        value += step


def _limits(months: Sequence[Month], scale: _Scale) -> Iterator[str]:
    """Each month has limits of its own size, so they are drawn as stairs."""
    for place, month in enumerate(months):
        for kind, value in _lines_of(month):
            y = scale.y(value)
            edges = f'x1="{scale.x(place - 0.5):.2f}%" x2="{scale.x(place + 0.5):.2f}%"'
            yield f'<line class="plot-{kind}" {edges} y1="{y:.1f}" y2="{y:.1f}"/>'


def _lines_of(month: Month) -> list[tuple[str, Decimal]]:
    lines = (("centre", month.centre), ("limit", month.upper_limit), ("limit", month.lower_limit))
    # A limit at zero is the floor of the picture and needs no line.
    return [(kind, value) for kind, value in lines if value is not None and (kind == "centre" or value > 0)]


def _line(months: Sequence[Month], scale: _Scale) -> Iterator[str]:
    """From month to month; where one is missing there is a gap and no line over it."""
    for place in range(1, len(months)):
        before, after = months[place - 1].rate, months[place].rate
        if before is not None and after is not None:
            ends = f'x1="{scale.x(place - 1):.2f}%" y1="{scale.y(before):.1f}"'
            dashed = " plot-provisional" if months[place].is_provisional else ""
            yield f'<line class="plot-line{dashed}" {ends} x2="{scale.x(place):.2f}%" y2="{scale.y(after):.1f}"/>'


def _points(months: Sequence[Month], scale: _Scale, *, name: str) -> Iterator[str]:
    for place, month in enumerate(months):
        if month.rate is None:
            continue
        x, y = f"{scale.x(place):.2f}%", f"{scale.y(month.rate):.1f}"
        if month.mark:
            yield f'<use class="mark-{month.mark}" href="#{name}-{month.mark}" x="{x}" y="{y}"/>'
        else:
            kind = "plot-hollow" if month.is_provisional else "plot-point"
            yield f'<circle class="{kind}" cx="{x}" cy="{y}" r="4"/>'


def _ends(months: Sequence[Month], scale: _Scale) -> Iterator[str]:
    """The word of each line at its end, kept apart where two lines come close."""
    last = next((month for month in reversed(months) if month.centre is not None), None)
    if last is None:
        return
    named = [("upper limit", last.upper_limit), ("usual", last.centre), ("lower limit", last.lower_limit or None)]
    lowest = None
    for words, value in named:
        if value is not None:
            y = scale.y(value) + 5
            y = y if lowest is None else max(y, lowest + LABEL_APART)
            lowest = y
            yield f'<text class="plot-end" x="{RIGHT + 1:.2f}%" y="{y:.1f}">{words}</text>'


def _axis(months: Sequence[Month], scale: _Scale) -> Iterator[str]:
    """First, middle and last month: as many as a phone has room for."""
    y = TOP + PLOT_HEIGHT + 22
    if months:
        yield f'<text class="plot-scale" x="{LEFT:.2f}%" y="{y}">{escape(months[0].words)}</text>'
    if len(months) > 8:
        middle = len(months) // 2
        at = f'x="{scale.x(middle):.2f}%" y="{y}"'
        yield f'<text class="plot-scale plot-middle" {at}>{escape(months[middle].words)}</text>'
    if len(months) > 1:
        yield f'<text class="plot-scale plot-last" x="{RIGHT:.2f}%" y="{y}">{escape(months[-1].words)}</text>'


def _shapes(name: str) -> str:
    drawn = "".join(f'<path id="{name}-{kind}" d="{path}"/>' for kind, path in SHAPES.items())
    return f"<defs>{drawn}</defs>"
