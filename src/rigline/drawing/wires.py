"""Ink of what the layout placed: wires with their conductor marks, bars, joints and boundaries."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from msgspec.structs import replace

from rigline.drawing.ink import Ink, gathered
from rigline.drawing.lines import EDGE_MM, LINE_STYLES, LineInk, line_ink, wire_style
from rigline.drawing.symbol import BAR_MM, THIN_MM, Circle, Point, Polyline, Stroke
from rigline.layout.plan import Arrow, Dot, Frame, PlacedBar, PlacedWire, Text

DOT_RADIUS_MM = 1.0
"""Joint on a bar: clearly wider than the bar. Our own choice."""
SLASH_MM = 1.3
"""Reach of a conductor mark on either side of the line. Our own choice."""
SLASH_PITCH_MM = 1.2
"""Distance between conductor marks. Our own choice."""
MOST_SLASHES = 3
"""More conductors than this are one mark and a figure. Source: IEC 61082-1, 7.1.3.6 allows both."""
ARROW_MM = 3.0
"""Length of the head at an end that goes on on another sheet. Our own choice."""
ARROW_HALF_MM = 1.0
"""Half its width. Our own choice."""
FIGURE_MM = 1.8
"""Height of that figure. Source: ISO 3098 series (from memory)."""
STRIPE_FRAC = 0.5
"""Width of the dashes on a two-coloured line, over that of the line. IEC 60445: each colour covers 30 to 70 %."""
STRIPE_DASH_MM = (1.5, 0.5)
"""Dashes of the second colour. Our own choice."""


def _runs_upright(points: tuple[Point, ...], at: Point) -> bool:
    """Whether the piece of the line that passes through a point is vertical."""
    for (x0, y0), (x1, y1) in pairwise(points):
        within = min(x0, x1) <= at[0] <= max(x0, x1) and min(y0, y1) <= at[1] <= max(y0, y1)
        if within and (x0, y0) != (x1, y1):
            return x0 == x1
    return True


def slash_ink(at: Point, conductors: int, upright: bool) -> Ink:
    """One short oblique stroke for each conductor; from four on, one stroke and a figure."""
    count = conductors if conductors <= MOST_SLASHES else 1
    strokes: list[Stroke] = []
    for i in range(count):
        along = (i - (count - 1) / 2) * SLASH_PITCH_MM
        x, y = (at[0], at[1] + along) if upright else (at[0] + along, at[1])
        strokes.append(Polyline(((x - SLASH_MM, y + SLASH_MM), (x + SLASH_MM, y - SLASH_MM)), THIN_MM))
    if conductors <= MOST_SLASHES:
        return Ink(tuple(strokes))
    figure = Text(at[0] + SLASH_MM + 0.5, at[1] - SLASH_MM, str(conductors), FIGURE_MM)
    return Ink(tuple(strokes), (figure,))


def wire_ink(wire: PlacedWire, codes: tuple[str, ...] | None = None) -> tuple[Ink, ...]:
    """A wire's line and its tag, from the back to the front.

    Args:
        codes: Letters of its conductors' colours, the live one first; None draws in black.
    """
    style = wire_style(wire.kind, wire.later)
    color = LineInk("black") if codes is None else line_ink(wire.kind, codes)
    line = Polyline(wire.points, style.width_mm, dash_mm=style.dash_mm)
    inks = [Ink((line,), wire.texts, color.ink)]
    if color.edged:
        inks.insert(0, Ink((replace(line, width_mm=style.width_mm + 2 * EDGE_MM),)))
    if color.stripe and not style.dash_mm:
        stripe = Polyline(wire.points, style.width_mm * STRIPE_FRAC, dash_mm=STRIPE_DASH_MM)
        inks.append(Ink((stripe,), color=color.stripe))
    if wire.arrows:
        inks.append(Ink(tuple(_arrow(wire, arrow) for arrow in wire.arrows), color=color.ink))
    return tuple(inks)


def _arrow(wire: PlacedWire, arrow: Arrow) -> Polyline:
    """A filled head on the last stretch of a wire that goes on on another sheet."""
    at = (arrow.x_mm, arrow.y_mm)
    before = next(point for point in (wire.points[::-1] if at == wire.points[-1] else wire.points) if point != at)
    dx, dy = (_sign(at[0] - before[0]), _sign(at[1] - before[1]))
    tip, back = (at, (at[0] - dx * ARROW_MM, at[1] - dy * ARROW_MM))
    if not arrow.outward:
        tip, back = back, tip
    sides = (-ARROW_HALF_MM, ARROW_HALF_MM)
    wings = tuple((back[0] + dy * side, back[1] + dx * side) for side in sides)
    return Polyline((tip, *wings), THIN_MM, fill="black", closed=True)


def _sign(value: float) -> int:
    return (value > 0) - (value < 0)


def counts_ink(wires: Iterable[PlacedWire]) -> Ink:
    """The conductor marks of a sheet's wires. They are no wires, so they don't stand in the wires' groups."""
    marked = [(wire, wire.slashes) for wire in wires if wire.slashes is not None and wire.conductors > 1]
    return gathered(slash_ink(at, wire.conductors, _runs_upright(wire.points, at)) for wire, at in marked)


def bar_ink(bar: PlacedBar) -> Ink:
    """A bus as a thick bar; one that is planned for later is broken."""
    ends = ((bar.x0_mm, bar.y_mm), (bar.x1_mm, bar.y_mm))
    dash = LINE_STYLES["later"].dash_mm if bar.later else ()
    return Ink((Polyline(ends, BAR_MM, dash_mm=dash),), bar.texts)


def dot_ink(dot: Dot) -> Ink:
    """A joint."""
    return Ink((Circle((dot.x_mm, dot.y_mm), DOT_RADIUS_MM, THIN_MM, "black"),))


def frame_ink(frame: Frame) -> Ink:
    """The boundary of a place, with its name."""
    style = LINE_STYLES["place"]
    corners = (
        (frame.x0_mm, frame.y0_mm),
        (frame.x1_mm, frame.y0_mm),
        (frame.x1_mm, frame.y1_mm),
        (frame.x0_mm, frame.y1_mm),
    )
    return Ink((Polyline(corners, style.width_mm, closed=True, dash_mm=style.dash_mm),), (frame.text,))
