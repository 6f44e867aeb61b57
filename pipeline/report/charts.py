"""Pictures as inline SVG. A picture supports its sentence and its table; it never stands alone.

Lengths are percentages of the width and heights are pixels, and there is no viewBox: so the picture fits a phone while
its text stays as large as the page's. Colours come from the page's stylesheet, so dark screens and print follow it.
Each part also has a pattern and a place in a fixed order, because colour alone tells some readers nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from markupsafe import Markup

BAR_HEIGHT = 30
LINE_HEIGHT = 26
ROW_GAP = 18
# Per cent of the width that a number at 16 px needs on a phone: some for each digit and some for the edges. Where a
# part is narrower its number stands in the table only.
PER_DIGIT, EDGES = 2.7, 2.4
# These kinds are drawn with a pattern, the others are filled by the stylesheet.
PATTERNED = {"contraindicated": "stripes", "unknown": "dots"}


@dataclass(frozen=True)
class Part:
    """One stretch of a bar: how many, and the kind that the stylesheet colours (`part-<kind>`)."""

    kind: str
    amount: int


@dataclass(frozen=True)
class Bar:
    """One row of a stacked bar chart: its words stand above it, its parts follow in the order given."""

    words: str
    parts: tuple[Part, ...]


def stacked_bars(bars: Sequence[Bar], *, name: str, title: str, description: str) -> Markup:
    """Stacked bars that all start at zero and share one scale.

    Args: `name` makes the ids of the title and description unique on the page; `title` and `description` are what a
    screen reader says and must not be blank. Raises ValueError if one is, or if an amount is negative.
    """
    if not (title.strip() and description.strip()):
        raise ValueError(f"The picture {name} needs a title and a description: without them it says nothing to some.")
    if any(part.amount < 0 for bar in bars for part in bar.parts):
        raise ValueError(f"The picture {name} has a negative amount; a bar cannot start left of zero.")
    longest = max((sum(part.amount for part in bar.parts) for bar in bars), default=0)
    row_height = LINE_HEIGHT + BAR_HEIGHT + ROW_GAP
    drawn = [
        line for row, bar in enumerate(bars) for line in _bar(bar, name=name, top=row * row_height, longest=longest)
    ]
    return Markup(
        "\n".join(
            (
                f'<svg class="picture" role="img" width="100%" height="{row_height * len(bars)}"'
                f' aria-labelledby="{name}-title {name}-description">',
                f'<title id="{name}-title">{escape(title)}</title>',
                f'<desc id="{name}-description">{escape(description)}</desc>',
                _patterns(name),
                *drawn,
                "</svg>",
            )
        )
    )


def _bar(bar: Bar, *, name: str, top: int, longest: int) -> list[str]:
    middle = top + LINE_HEIGHT + BAR_HEIGHT // 2
    lines = [f'<text class="bar-words" x="0" y="{top + LINE_HEIGHT - 8}">{escape(bar.words)}</text>']
    start = 0
    for part in bar.parts:
        if part.amount == 0:
            continue
        left, width = 100 * start / longest, 100 * part.amount / longest
        place = f'x="{left:.2f}%" y="{top + LINE_HEIGHT}" width="{width:.2f}%" height="{BAR_HEIGHT}"'
        fill = f' fill="url(#{name}-{PATTERNED[part.kind]})"' if part.kind in PATTERNED else ""
        lines.append(f'<rect class="part-{part.kind}" {place}{fill}/>')
        if width >= PER_DIGIT * len(f"{part.amount:,}") + EDGES:
            centre = f'x="{left + width / 2:.2f}%" y="{middle}" dy="0.36em"'
            lines.append(f'<text class="part-number on-{part.kind}" {centre}>{part.amount:,}</text>')
        start += part.amount
    return lines


def _patterns(name: str) -> str:
    """Stripes and dots for the kinds that must not be taken for each other in greyscale."""
    stripes = f'<pattern id="{name}-stripes" width="7" height="7" patternUnits="userSpaceOnUse"'
    dots = f'<pattern id="{name}-dots" width="8" height="8" patternUnits="userSpaceOnUse">'
    return (
        f'<defs>{stripes} patternTransform="rotate(45)"><rect class="stripe-ground" width="7" height="7"/>'
        f'<rect class="stripe-line" width="3" height="7"/></pattern>'
        f'{dots}<rect class="dot-ground" width="8" height="8"/><circle class="dot" cx="4" cy="4" r="1.3"/>'
        "</pattern></defs>"
    )
