"""Border, frame and zones of a sheet, so that a place on it can be named: sheet 3, field B2."""

from __future__ import annotations

from itertools import pairwise

from rigline.drawing.ink import Ink
from rigline.drawing.symbol import THIN_MM, Box, Polyline, Stroke
from rigline.layout.plan import SheetSize, Text
from rigline.layout.sheet import ZONE_BAND_MM, frame_box

ZONE_MM = 50.0
"""Length of a field. Source: ISO 5457 (from memory)."""
ZONE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Without I and O, which look like digits. Source: ISO 5457 (from memory)."""
ZONE_TEXT_MM = 2.5
"""Height of letters and digits. Source: ISO 3098 series (from memory)."""
HEAVY_MM = 0.7
"""Width of the frame line. Source: ISO 5457 and ISO 128 (from memory)."""


def zone_edges(length_mm: float) -> tuple[float, ...]:
    """Where the fields along a side end, from the top left corner; the last one takes the remainder.

    >>> zone_edges(237.4)
    (0.0, 50.0, 100.0, 150.0, 200.0, 237.4)
    """
    count = max(1, round(length_mm / ZONE_MM))
    return (*(ZONE_MM * i for i in range(count)), length_mm)


def zone_at(size: SheetSize, x_mm: float, y_mm: float) -> str:
    """Name of the field that a point of the sheet lies in.

    >>> zone_at(SheetSize("A3", 420.0, 297.0), 130.0, 70.0)
    'B3'
    """
    frame = frame_box(size)
    column = _field(zone_edges(frame.x1_mm - frame.x0_mm), x_mm - frame.x0_mm)
    row = _field(zone_edges(frame.y1_mm - frame.y0_mm), y_mm - frame.y0_mm)
    return f"{ZONE_LETTERS[row]}{column + 1}"


def _field(edges: tuple[float, ...], at_mm: float) -> int:
    return max(0, sum(1 for edge in edges[1:-1] if edge <= at_mm))


def frame_and_zones(size: SheetSize) -> Ink:
    """The thin border, the heavy frame, and letters and digits in the band between them."""
    frame, band = frame_box(size), ZONE_BAND_MM
    outer = Box((frame.x0_mm - band, frame.y0_mm - band), (frame.x1_mm + band, frame.y1_mm + band), THIN_MM)
    inner = Box((frame.x0_mm, frame.y0_mm), (frame.x1_mm, frame.y1_mm), HEAVY_MM)
    ticks: list[Stroke] = []
    names: list[Text] = []
    columns = [frame.x0_mm + edge for edge in zone_edges(frame.x1_mm - frame.x0_mm)]
    rows = [frame.y0_mm + edge for edge in zone_edges(frame.y1_mm - frame.y0_mm)]
    for i, (start, end) in enumerate(pairwise(columns)):
        for y in (frame.y0_mm - band, frame.y1_mm):
            names.append(_name((start + end) / 2, y + band / 2, str(i + 1)))
            ticks.append(Polyline(((end, y), (end, y + band)), THIN_MM))
    for i, (start, end) in enumerate(pairwise(rows)):
        for x in (frame.x0_mm - band, frame.x1_mm):
            names.append(_name(x + band / 2, (start + end) / 2, ZONE_LETTERS[i]))
            ticks.append(Polyline(((x, end), (x + band, end)), THIN_MM))
    return Ink((outer, inner, *ticks), tuple(names))


def _name(x: float, y: float, name: str) -> Text:
    return Text(x, y + ZONE_TEXT_MM / 2, name, ZONE_TEXT_MM, "middle")
