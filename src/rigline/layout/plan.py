"""The finished sheet as numbers: what stands where, in millimetres, before any ink.

The origin is the sheet's top left corner; x grows to the right and y grows downwards. Layout can be tested to the last
digit on these objects, and the drawing only turns them into strokes.
"""

from __future__ import annotations

from typing import NamedTuple

from msgspec import Struct

Point = tuple[float, float]


class Target(NamedTuple):
    """A point on a sheet that a reference leads to."""

    sheet: int
    x_mm: float
    y_mm: float


class Text(Struct, frozen=True):
    """One line of text on its alphabetic baseline."""

    x_mm: float
    y_mm: float
    """Height of the baseline."""
    text: str
    capital_mm: float = 2.5
    """Height of the capital letters (ISO 3098: 1.8, 2.5, 3.5, 5, 7)."""
    anchor: str = "start"
    """start | middle | end"""
    turn_deg: int = 0
    """0, or 90: readable from the right edge of the sheet."""
    bold: bool = False
    color: str = "black"
    leads_to: Target | None = None
    """Where a reference to another sheet leads."""


class PlacedSymbol(Struct, frozen=True):
    """A symbol of the library with its reference point (see the library) at (x, y)."""

    id: str
    kind: str
    x_mm: float
    y_mm: float
    turn_deg: int = 0
    """0, 90, 180 or 270, clockwise on the sheet."""
    texts: tuple[Text, ...] = ()
    later: bool = False
    title: str = ""


class PlacedBar(Struct, frozen=True):
    """A bus drawn as a thick horizontal bar, centred on y."""

    id: str
    kind: str
    x0_mm: float
    x1_mm: float
    y_mm: float
    medium: str
    """dc | ac | earth"""
    texts: tuple[Text, ...] = ()
    later: bool = False
    title: str = ""


class Arrow(Struct, frozen=True):
    """The mark at the end of a wire that goes on elsewhere; it points the way power flows."""

    x_mm: float
    y_mm: float
    """The end of the wire."""
    outward: bool
    """It points away from the wire."""


class PlacedWire(Struct, frozen=True):
    """One segment of a run: an orthogonal polyline with its tag."""

    id: str
    run: str
    kind: str
    """dc | ac | bond | sense"""
    points: tuple[Point, ...]
    texts: tuple[Text, ...] = ()
    slashes: Point | None = None
    """Where the conductor count is marked across the line."""
    conductors: int = 2
    sized: bool = False
    later: bool = False
    title: str = ""
    continued: bool = False
    """The far side of a cut: the segment itself stands with its tag where the reference leads."""
    arrows: tuple[Arrow, ...] = ()
    """Ends at which the wire goes on on another sheet."""


class Dot(Struct, frozen=True):
    """A joint where wires meet a bar or each other."""

    x_mm: float
    y_mm: float


CHANGE = "change"
"""What a flag has for a severity if it marks no finding but a change."""


class Flag(Struct, frozen=True):
    """A numbered flag of a finding or a change, pointing at (x, y)."""

    number: int
    """Findings and changes are counted each by themselves."""
    severity: str
    """danger | fault | question | advice, or change."""
    x_mm: float
    y_mm: float
    """Centre of the flag."""
    waived: bool = False


class Frame(Struct, frozen=True):
    """A dash-dot boundary round what stands in one place."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float
    text: Text


class Sheet(Struct, frozen=True):
    """One sheet: the drawing area's contents. Border, title block, legend and notes are added by the drawing."""

    number: int
    symbols: tuple[PlacedSymbol, ...] = ()
    bars: tuple[PlacedBar, ...] = ()
    wires: tuple[PlacedWire, ...] = ()
    dots: tuple[Dot, ...] = ()
    flags: tuple[Flag, ...] = ()
    frames: tuple[Frame, ...] = ()
    texts: tuple[Text, ...] = ()
    """References to other sheets and other free text."""


class SheetSize(Struct, frozen=True):
    """A sheet of paper, landscape. Source: ISO 216 (A4, A3); ASME Y14.1 (Letter, Tabloid; from memory)."""

    name: str
    width_mm: float
    height_mm: float


SHEET_SIZES = {
    "a4": SheetSize("A4", 297.0, 210.0),
    "a3": SheetSize("A3", 420.0, 297.0),
    "letter": SheetSize("Letter", 279.4, 215.9),
    "tabloid": SheetSize("Tabloid", 431.8, 279.4),
}


class SheetPlan(Struct, frozen=True):
    """All sheets of one drawing."""

    size: SheetSize
    sheets: tuple[Sheet, ...]
