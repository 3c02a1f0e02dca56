"""How a sheet is divided: border, zones, drawing area, and the strip at the bottom for title block and legend."""

from __future__ import annotations

from dataclasses import dataclass

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


@dataclass(frozen=True)
class Box:
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
