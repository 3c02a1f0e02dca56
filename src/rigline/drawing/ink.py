"""What goes on paper, whatever it stands for: strokes and lines of text at their final place.

Symbols, wires, flags and the frame all become ink before they are drawn, so that overlaps can be tested on numbers and
the drawing library is needed in one place only.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from rigline.drawing.symbol import THIN_MM, Arc, Box, Circle, Glyph, Point, Polyline, Stroke, Symbol
from rigline.layout.plan import Text

LATER_DASH_MM = (1.8, 1.0)
"""Dashes of a symbol that is planned for a later stage. Our own choice, stated in the legend."""


SMALLEST_WEIGHT = 0.6
"""Line widths of a symbol shrink to this and no further: 0.15 mm is about the thinnest of ISO 128. Our own choice."""
SMALLEST_LETTER_MM = 1.8
"""Source: ISO 3098 series (from memory)."""
LOST_LETTER_MM = 1.1
"""Letters of a small copy of a symbol are brought up to the smallest letter; below this they are left out instead."""


class Ink(Struct, frozen=True):
    """Strokes and texts in sheet coordinates, in one colour."""

    strokes: tuple[Stroke, ...] = ()
    texts: tuple[Text, ...] = ()
    color: str = "black"

    def __add__(self, other: Ink) -> Ink:
        return replace(self, strokes=self.strokes + other.strokes, texts=self.texts + other.texts)


def gathered(parts: Iterable[Ink]) -> Ink:
    """Several pieces of ink as one, in the colour of the first."""
    strokes: list[Stroke] = []
    texts: list[Text] = []
    colors: list[str] = []
    for part in parts:
        strokes.extend(part.strokes)
        texts.extend(part.texts)
        colors.append(part.color)
    return Ink(tuple(strokes), tuple(texts), colors[0] if colors else "black")


def moved(ink: Ink, dx_mm: float, dy_mm: float) -> Ink:
    """The same ink elsewhere."""
    to = Placing(dx_mm, dy_mm)
    texts = tuple(replace(text, x_mm=text.x_mm + dx_mm, y_mm=text.y_mm + dy_mm) for text in ink.texts)
    return Ink(tuple(_placed(stroke, to, ()) for stroke in ink.strokes), texts, ink.color)


class Placing(Struct, frozen=True):
    """Where a symbol goes: scaled, turned clockwise in quarters, then moved."""

    x_mm: float
    y_mm: float
    turn_deg: int = 0
    scale: float = 1.0

    @property
    def weight(self) -> float:
        """Factor on line widths: a small copy keeps lines that can be printed."""
        return max(self.scale, SMALLEST_WEIGHT)

    def point(self, point: Point) -> Point:
        """A point of the symbol on the sheet; quarter turns are exact swaps."""
        x, y = point[0] * self.scale, point[1] * self.scale
        x, y = {0: (x, y), 90: (-y, x), 180: (-x, -y), 270: (y, -x)}[self.turn_deg]
        return (self.x_mm + x, self.y_mm + y)


def _placed(stroke: Stroke, to: Placing, dash_mm: tuple[float, ...]) -> Stroke:
    """One stroke on the sheet. A dash given here is for outlines that have none themselves; details stay whole."""
    if isinstance(stroke, Polyline):
        points = tuple(to.point(point) for point in stroke.points)
        return replace(
            stroke,
            points=points,
            width_mm=stroke.width_mm * to.weight,
            dash_mm=_dash(stroke.dash_mm or (dash_mm if stroke.width_mm > THIN_MM else ()), to),
        )
    if isinstance(stroke, Box):
        (x0, y0), (x1, y1) = stroke.start, stroke.end
        corners = tuple(to.point(corner) for corner in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
        return Polyline(corners, stroke.width_mm * to.weight, stroke.fill, closed=True, dash_mm=_dash(dash_mm, to))
    if isinstance(stroke, Circle):
        return replace(
            stroke,
            center=to.point(stroke.center),
            radius_mm=stroke.radius_mm * to.scale,
            width_mm=stroke.width_mm * to.weight,
            dash_mm=_dash(stroke.dash_mm or (dash_mm if stroke.width_mm > THIN_MM else ()), to),
        )
    if isinstance(stroke, Arc):
        return replace(
            stroke,
            center=to.point(stroke.center),
            radius_mm=stroke.radius_mm * to.scale,
            start_deg=stroke.start_deg + to.turn_deg,
            end_deg=stroke.end_deg + to.turn_deg,
            width_mm=stroke.width_mm * to.weight,
            dash_mm=_dash(stroke.dash_mm or (dash_mm if stroke.width_mm > THIN_MM else ()), to),
        )
    return replace(stroke, center=to.point(stroke.center), capital_mm=stroke.capital_mm * to.scale)


def _dash(dash_mm: tuple[float, ...], to: Placing) -> tuple[float, ...]:
    return tuple(round(length * to.scale, 3) for length in dash_mm)


def glyph_text(glyph: Glyph) -> Text:
    """The letters of a symbol as a line of text, upright."""
    x, y = glyph.center
    return Text(x, y + glyph.capital_mm / 2, glyph.text, glyph.capital_mm, "middle", bold=glyph.bold)


def symbol_ink(symbol: Symbol, to: Placing, later: bool = False) -> Ink:
    """A symbol where it stands on the sheet; dashed if it is planned for later."""
    placed = [_placed(stroke, to, LATER_DASH_MM if later else ()) for stroke in symbol.strokes]
    letters = tuple(
        glyph_text(replace(stroke, capital_mm=max(stroke.capital_mm, SMALLEST_LETTER_MM)))
        for stroke in placed
        if isinstance(stroke, Glyph) and stroke.capital_mm >= LOST_LETTER_MM
    )
    return Ink(tuple(stroke for stroke in placed if not isinstance(stroke, Glyph)), letters)
