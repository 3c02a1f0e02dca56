"""How a sheet is divided: border, zones, drawing area, and the strip at the bottom for title block and legend."""

from __future__ import annotations

from msgspec import Struct

from rigline.layout.plan import SheetSize

BORDER_LEFT_MM = 20.0
"""Filing margin. Source: ISO 5457 (from memory)."""
BORDER_MM = 10.0
"""Margin on the other three sides. Source: ISO 5457 (from memory)."""
ZONE_BAND_MM = 5.0
"""Width of the band with the zone letters and digits, inside the border. Source: ISO 5457 (from memory)."""
STRIP_MM = 42.0
"""Height of the strip for title block, legend, cautions and findings, on A3 and Tabloid. Our own choice."""
STRIP_SMALL_MM = 38.0
"""The same on A4 and Letter."""
CLEARANCE_MM = 3.0
"""Free space between the drawing and whatever encloses it. Our own choice."""


ZONE_MM = 50.0
"""Length of a field of the frame. Source: ISO 5457 (from memory)."""
ZONE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Without I and O, which look like digits. Source: ISO 5457 (from memory)."""


class Box(Struct, frozen=True):
    """A rectangle in millimetres, y downwards."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float


def frame_box(size: SheetSize) -> Box:
    """The thick frame line of a sheet, inside the zone band."""
    inset = BORDER_MM + ZONE_BAND_MM
    return Box(BORDER_LEFT_MM + ZONE_BAND_MM, inset, size.width_mm - inset, size.height_mm - inset)


def strip_box(size: SheetSize) -> Box:
    """The strip along the bottom of the frame."""
    frame = frame_box(size)
    height = STRIP_MM if size.width_mm > 350 else STRIP_SMALL_MM
    return Box(frame.x0_mm, frame.y1_mm - height, frame.x1_mm, frame.y1_mm)


def drawing_area(size: SheetSize) -> Box:
    """What the one-line itself may use: the frame without the strip, less a clearance."""
    frame, strip = frame_box(size), strip_box(size)
    return Box(
        frame.x0_mm + CLEARANCE_MM, frame.y0_mm + CLEARANCE_MM, frame.x1_mm - CLEARANCE_MM, strip.y0_mm - CLEARANCE_MM
    )


def zone_edges(length_mm: float) -> tuple[float, ...]:
    """Where the fields along a side end, from the top left corner; the last one takes the remainder.

    >>> zone_edges(237.4)
    (0.0, 50.0, 100.0, 150.0, 200.0, 237.4)
    """
    count = max(1, round(length_mm / ZONE_MM))
    return (*(ZONE_MM * i for i in range(count)), length_mm)


def zone_at(size: SheetSize, x_mm: float, y_mm: float) -> str:
    """Name of the field that a point of the sheet lies in; a point outside the frame has its nearest field.

    >>> zone_at(SheetSize("A3", 420.0, 297.0), 130.0, 70.0)
    'B3'
    """
    frame = frame_box(size)
    column = _field(zone_edges(frame.x1_mm - frame.x0_mm), x_mm - frame.x0_mm)
    row = _field(zone_edges(frame.y1_mm - frame.y0_mm), y_mm - frame.y0_mm)
    return f"{ZONE_LETTERS[row]}{column + 1}"


def _field(edges: tuple[float, ...], at_mm: float) -> int:
    return sum(1 for edge in edges[1:-1] if edge <= at_mm)
