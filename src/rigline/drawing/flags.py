"""Numbered flags that tie a place on the drawing to a finding or a change in a list.

The shape says how severe the finding is, so that it can be read in grey and by the colour-blind; colour only adds. A
triangle is a change since an older state of the system.
"""

from __future__ import annotations

from msgspec.structs import replace

from rigline.drawing.ink import Ink
from rigline.drawing.symbol import POWER_MM, THIN_MM, Circle, Point, Polyline, Stroke
from rigline.layout.plan import CHANGE, Text

FLAG_HALF_MM = 2.5
"""No flag reaches further than this from its centre. Our own choice: two digits of 1.8 mm fit."""
NUMBER_MM = 1.8
"""Height of the number. Source: ISO 3098 series (from memory)."""

DELTA_WIDE = 0.97
"""Half a triangle's side over the half width of a flag: two do not touch. Our own choice."""
DELTA_FOOT_MM = 0.45
"""From a triangle's lower side up to its number, low enough for two digits. Our own choice."""

_OCTAGON = 0.4142
"""Tangent of 22.5 degrees: half a side of an octagon over its half width."""


def _outline(severity: str, x: float, y: float) -> Stroke:
    """Octagon, diamond, circle or square round a point; a triangle for a change.

    Source of the triangle: drafting practice marks a change by its revision in a triangle or circle (US Navy training
    manual NAVEDTRA 10696, Engineering Aid Basic, chapter 3; ASME Y14.35, from memory).
    """
    half = FLAG_HALF_MM
    if severity == CHANGE:
        wide = half * DELTA_WIDE
        return replace(_polygon(x, y, ((0.0, -half), (wide, half), (-wide, half)), "white"), width_mm=THIN_MM)
    if severity == "danger":
        a, b = half * 0.9, half * 0.9 * _OCTAGON
        around = ((b, -a), (a, -b), (a, b), (b, a), (-b, a), (-a, b), (-a, -b), (-b, -a))
        return _polygon(x, y, around, "black")
    if severity == "fault":
        return _polygon(x, y, ((0.0, -half), (half, 0.0), (0.0, half), (-half, 0.0)), "white")
    if severity == "question":
        return Circle((x, y), half * 0.85, POWER_MM, "white")
    side = half * 0.78
    return _polygon(x, y, ((-side, -side), (side, -side), (side, side), (-side, side)), "white")


def _polygon(x: float, y: float, around: tuple[Point, ...], fill: str) -> Polyline:
    return Polyline(tuple((x + dx, y + dy) for dx, dy in around), POWER_MM, fill, closed=True)


def flag_ink(number: int, severity: str, x: float, y: float, waived: bool = False) -> Ink:
    """A flag with its number, centred on (x, y); thin and never filled if the finding was waived."""
    on = "white" if severity == "danger" and not waived else "black"
    base = y + (FLAG_HALF_MM - DELTA_FOOT_MM if severity == CHANGE else NUMBER_MM / 2)
    label = Text(x, base, str(number), NUMBER_MM, "middle", bold=not waived, color=on)
    outline = _outline(severity, x, y)
    if waived and isinstance(outline, Circle | Polyline):
        outline = replace(outline, width_mm=THIN_MM, fill="white")
    return Ink((outline,), (label,))
