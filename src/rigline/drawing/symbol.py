"""What a graphic symbol is: strokes, terminals and label slots, as numbers.

A symbol is data, so that it can be tested to the last digit and drawn by any library. Coordinates are millimetres on
the sheet, x to the right and y downwards, with (0, 0) in the middle of the symbol. Every symbol is drawn for a vertical
feeder with the power flowing down the sheet.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from msgspec import Struct

from rigline.layout.symbols import SymbolBox, Terminal

Point = tuple[float, float]

THIN_MM = 0.25
"""Details of a symbol, frames, sense leads. Source: ISO 128 series of widths (from memory)."""
POWER_MM = 0.5
"""Conductors and the outlines of symbols. Source: ISO 128, wide : narrow = 2 : 1 (from memory)."""
BAR_MM = 1.4
"""Buses. Source: ISO 128 series of widths (from memory)."""
SLOT_GAP_MM = 2.0
"""Free space between a symbol and the text beside it. Our own choice."""


class Polyline(Struct, frozen=True):
    """Straight pieces, joined with sharp corners."""

    points: tuple[Point, ...]
    width_mm: float = POWER_MM
    fill: str = "none"
    """none | white | black. A filled or closed one joins its last point to its first."""
    closed: bool = False
    dash_mm: tuple[float, ...] = ()


class Box(Struct, frozen=True):
    """A rectangle with upright sides, given by two opposite corners."""

    start: Point
    end: Point
    width_mm: float = POWER_MM
    fill: str = "none"


class Circle(Struct, frozen=True):
    """A full circle."""

    center: Point
    radius_mm: float
    width_mm: float = POWER_MM
    fill: str = "none"
    dash_mm: tuple[float, ...] = ()


class Arc(Struct, frozen=True):
    """Part of a circle, from one angle clockwise (as seen on the sheet) to the other; 0 degrees is to the right."""

    center: Point
    radius_mm: float
    start_deg: float
    end_deg: float
    width_mm: float = POWER_MM
    dash_mm: tuple[float, ...] = ()


class Glyph(Struct, frozen=True):
    """Letters inside a symbol, centred on a point by the height of their capitals. They stay upright when it turns."""

    center: Point
    text: str
    capital_mm: float = 1.8
    bold: bool = False


Stroke = Polyline | Box | Circle | Arc | Glyph


class Slot(Struct, frozen=True):
    """Where text may stand: the point level with the middle of its capitals."""

    x_mm: float
    y_mm: float
    anchor: str
    """start | middle | end"""


class Symbol(SymbolBox, frozen=True):
    """One kind of component as it is drawn in one style: the outline that layout works with, and its ink."""

    kind: str
    source: str
    """The standard or practice that the shape follows, and how sure that is."""
    strokes: tuple[Stroke, ...]
    slots: Mapping[str, Slot]

    @property
    def extent(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 of the outline, round the reference point."""
        return (-self.width_mm / 2, -self.height_mm / 2, self.width_mm / 2, self.height_mm / 2)


def symbol(
    kind: str,
    source: str,
    size_mm: tuple[float, float],
    terminals: Mapping[str, tuple[float, float, str]],
    *strokes: Stroke | tuple[Stroke, ...],
) -> Symbol:
    """A symbol with the usual slots: right, left and below.

    Strokes may be given in groups, such as a mark made of several lines.
    """
    flat: list[Stroke] = []
    for stroke in strokes:
        flat.extend(stroke if isinstance(stroke, tuple) else (stroke,))
    width, height = size_mm
    return Symbol(
        kind=kind,
        source=source,
        width_mm=width,
        height_mm=height,
        terminals=MappingProxyType({name: Terminal(*place) for name, place in terminals.items()}),
        strokes=tuple(flat),
        slots=MappingProxyType(
            {
                "right": Slot(width / 2 + SLOT_GAP_MM, 0.0, "start"),
                "left": Slot(-width / 2 - SLOT_GAP_MM, 0.0, "end"),
                "below": Slot(0.0, height / 2 + SLOT_GAP_MM, "middle"),
            }
        ),
    )
