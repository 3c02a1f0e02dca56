"""How each kind of wire is drawn, in one table for the drawing and its legend.

Styles differ in dashes and width, never in colour alone: most sheets are printed in black.
"""

from __future__ import annotations

from msgspec import Struct

from rigline.drawing.symbol import BAR_MM, POWER_MM, THIN_MM
from rigline.standards.colors import letters


class LineStyle(Struct, frozen=True):
    """Width, dashes and optional colour of a line, and what the legend calls it."""

    name: str
    width_mm: float
    dash_mm: tuple[float, ...] = ()
    color: str = "black"
    """Used when colour is asked for and the wire has no colour of its own; at least 4.5 : 1 on white (WCAG 2.1)."""


LINE_STYLES = {
    "dc": LineStyle("DC", POWER_MM),
    "ac": LineStyle("AC", POWER_MM, color="#0072B2"),
    "bond": LineStyle("Bond or earth", POWER_MM, (4.0, 1.0, 0.8, 1.0), "#00703C"),
    "sense": LineStyle("Sense or data", THIN_MM, (1.2, 0.8), "#7B2D8B"),
    "later": LineStyle("Planned for later", POWER_MM, (5.0, 2.0)),
    "bar": LineStyle("Bus", BAR_MM),
    "place": LineStyle("Place", THIN_MM, (6.0, 1.2, 1.2, 1.2)),
}
"""Dash patterns are our own choice, stated in the legend of every sheet."""


def wire_style(kind: str, later: bool) -> LineStyle:
    """The style of a wire; what is planned for later keeps its width and colour and gets the long dashes."""
    style = LINE_STYLES[kind]
    if not later:
        return style
    return LineStyle(style.name, style.width_mm, LINE_STYLES["later"].dash_mm, style.color)


EDGE_MM = 0.25
"""Width of each dark edge of a pale line. Our own choice: a line of ISO 128 that can be printed."""
PALE = frozenset({"YE", "WH", "PK", "TQ"})
"""Colours with less than 3 : 1 on white, alone or as the colour-blind see them: drawn between dark edges."""


class LineInk(Struct, frozen=True):
    """How the colour of an insulation is drawn."""

    ink: str
    edged: bool = False
    """Between two dark edges, because the ink is pale."""
    stripe: str = ""
    """Dashes of this ink on top."""


def line_ink(kind: str, codes: tuple[str, ...]) -> LineInk:
    """The ink of a wire's line: the colour of its live conductor, the first of its letters."""
    if not codes:
        return LineInk(LINE_STYLES[kind].color)
    color = letters()[codes[0]]
    return LineInk(color.ink, codes[0] in PALE, color.stripe)
