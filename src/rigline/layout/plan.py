"""The finished sheet as numbers: what stands where, in millimetres, before any ink.

The origin is the sheet's top left corner; x grows to the right and y grows downwards. Layout can be tested to the last
digit on these objects, and the drawing only turns them into strokes.
"""

from __future__ import annotations

from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True)
class Text:
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


@dataclass(frozen=True)
class PlacedSymbol:
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


@dataclass(frozen=True)
class PlacedBar:
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


@dataclass(frozen=True)
class PlacedWire:
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


@dataclass(frozen=True)
class Dot:
    """A joint where wires meet a bar or each other."""

    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Flag:
    """A numbered flag of a finding, pointing at (x, y)."""

    number: int
    severity: str
    x_mm: float
    y_mm: float
    """Centre of the flag."""


@dataclass(frozen=True)
class Frame:
    """A dash-dot boundary round what stands in one place."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float
    text: Text


@dataclass(frozen=True)
class Sheet:
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


@dataclass(frozen=True)
class SheetSize:
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


@dataclass(frozen=True)
class SheetPlan:
    """All sheets of one drawing."""

    size: SheetSize
    sheets: tuple[Sheet, ...]
