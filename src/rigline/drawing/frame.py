"""Border, frame and zones of a sheet, so that a place on it can be named: sheet 3, field B2."""

from __future__ import annotations

from itertools import pairwise

from rigline.drawing.ink import Ink
from rigline.drawing.symbol import THIN_MM, Box, Polyline, Stroke
from rigline.layout.plan import SheetSize, Text
from rigline.layout.sheet import ZONE_BAND_MM, ZONE_LETTERS, frame_box, zone_edges

ZONE_TEXT_MM = 2.5
"""Height of letters and digits. Source: ISO 3098 series (from memory)."""
HEAVY_MM = 0.7
"""Width of the frame line. Source: ISO 5457 and ISO 128 (from memory)."""


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
