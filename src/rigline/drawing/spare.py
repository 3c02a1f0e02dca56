"""Room that the drawing leaves free on a sheet, where a draughtsman writes what the strip can't hold.

Lists go low on the sheet, near the strip, or else to the top; a whole sheet for a few notes would be paper wasted.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from rigline.drawing.symbols import symbols_of
from rigline.layout.measure import FLAG_HALF_MM
from rigline.layout.plan import PlacedBar, PlacedSymbol, PlacedWire, Point, Sheet
from rigline.layout.sheet import Box
from rigline.layout.text import text_box

AROUND_MM = 7.5
"""Free space between such a list and the drawing. Our own choice: a list must not look like a label."""


def drawn_boxes(sheet: Sheet, style: str) -> list[Box]:
    """What a sheet's drawing covers: symbols, bars, wires, flags, boundaries and all their texts."""
    symbols, half = symbols_of(style), FLAG_HALF_MM
    owners: list[PlacedSymbol | PlacedBar | PlacedWire] = [*sheet.symbols, *sheet.bars, *sheet.wires]
    texts = [*sheet.texts, *(text for owner in owners for text in owner.texts), *(f.text for f in sheet.frames)]
    boxes = [Box(*text_box(text)) for text in texts]
    for placed in sheet.symbols:
        reach = max(symbols[placed.kind].width_mm, symbols[placed.kind].height_mm) / 2
        boxes.append(_round(placed.x_mm, placed.y_mm, reach))
    boxes += [_round(flag.x_mm, flag.y_mm, half) for flag in sheet.flags]
    boxes += [Box(bar.x0_mm, bar.y_mm, bar.x1_mm, bar.y_mm) for bar in sheet.bars]
    boxes += [_along(a, b) for wire in sheet.wires for a, b in pairwise(wire.points)]
    return boxes + [Box(frame.x0_mm, frame.y0_mm, frame.x1_mm, frame.y1_mm) for frame in sheet.frames]


def free_corner(taken: Iterable[Box], area: Box, width_mm: float, height_mm: float) -> Point | None:
    """Top left corner of a free rectangle at the foot of an area, or at its top, as far to the left as can be."""
    if height_mm > area.y1_mm - area.y0_mm:
        return None
    boxes = list(taken)
    for y in (area.y1_mm - height_mm, area.y0_mm):
        low, high = y - AROUND_MM, y + height_mm + AROUND_MM
        beside = sorted((box.x0_mm, box.x1_mm) for box in boxes if box.y0_mm < high and box.y1_mm > low)
        x = area.x0_mm
        for left, right in beside:
            if x + width_mm + AROUND_MM <= left:
                break
            x = max(x, right + AROUND_MM)
        if x + width_mm <= area.x1_mm:
            return (x, y)
    return None


def _round(x_mm: float, y_mm: float, reach_mm: float) -> Box:
    return Box(x_mm - reach_mm, y_mm - reach_mm, x_mm + reach_mm, y_mm + reach_mm)


def _along(a: Point, b: Point) -> Box:
    return Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))
