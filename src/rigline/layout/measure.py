"""How good a plan is, as geometry: what overlaps, what crosses, what is off the grid, how much of the sheet is used.

Nothing here knows how the plan was made, so that tests can hold any plan against the same measure.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise

from msgspec import Struct

from rigline.layout.plan import Frame, PlacedBar, PlacedSymbol, PlacedWire, Point, Sheet, SheetPlan, Text
from rigline.layout.sheet import Box, drawing_area
from rigline.layout.symbols import GRID_MM, SymbolTable
from rigline.layout.text import text_box

FLAG_HALF_MM = 2.5
FAULTS = (
    "text_on_text", "text_struck", "text_on_symbol", "line_through_symbol", "line_on_line", "off_grid", "slanted",
    "outside",
)  # fmt: skip
TOUCH_MM = 0.05
"""Overlaps smaller than this are rounding. Our own choice."""


class Quality(Struct, frozen=True):
    """Faults by name, and figures."""

    text_on_text: tuple[str, ...]
    text_struck: tuple[str, ...]
    """A wire or a bar runs through a text."""
    text_on_symbol: tuple[str, ...]
    line_through_symbol: tuple[str, ...]
    line_on_line: tuple[str, ...]
    """Two wires run along each other."""
    off_grid: tuple[str, ...]
    slanted: tuple[str, ...]
    outside: tuple[str, ...]
    crossings: int
    most_bends: int
    fill: float
    """Share of the drawing area that the bounding box of everything takes, on the fullest sheet."""

    @property
    def faults(self) -> tuple[str, ...]:
        """All faults."""
        return tuple(fault for name in FAULTS for fault in getattr(self, name))


class _Shapes(Struct, frozen=True):
    """A sheet as boxes and lines."""

    texts: tuple[tuple[str, Box], ...]
    symbols: tuple[tuple[str, Box], ...]
    bars: tuple[tuple[str, Point, Point], ...]
    wires: tuple[PlacedWire, ...]
    edges: tuple[Box, ...] = ()
    """Sides of the boundaries of places."""


def _text_box(text: Text) -> Box:
    return Box(*text_box(text))


def overlaps(a: Box, b: Box, clearance_mm: float = 0.0) -> bool:
    """Two boxes come closer than a clearance."""
    reach = clearance_mm - TOUCH_MM
    return (
        a.x0_mm - reach < b.x1_mm
        and b.x0_mm - reach < a.x1_mm
        and a.y0_mm - reach < b.y1_mm
        and b.y0_mm - reach < a.y1_mm
    )


def _line(a: Point, b: Point) -> Box:
    return Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1]))


def _shapes(sheet: Sheet, symbols: SymbolTable) -> _Shapes:
    owners: list[PlacedSymbol | PlacedBar | PlacedWire] = [*sheet.symbols, *sheet.bars, *sheet.wires]
    texts = [(owner.id, text) for owner in owners for text in owner.texts]
    texts += [("sheet", text) for text in sheet.texts] + [("frame", frame.text) for frame in sheet.frames]
    boxes = []
    for placed in sheet.symbols:
        outline = symbols[placed.kind]
        w, h = outline.width_mm / 2, outline.height_mm / 2
        if placed.turn_deg in (90, 270):
            w, h = h, w
        boxes.append((placed.id, Box(placed.x_mm - w, placed.y_mm - h, placed.x_mm + w, placed.y_mm + h)))
    r = FLAG_HALF_MM
    boxes += [(f"flag {f.number}", Box(f.x_mm - r, f.y_mm - r, f.x_mm + r, f.y_mm + r)) for f in sheet.flags]
    bars = tuple((bar.id, (bar.x0_mm, bar.y_mm), (bar.x1_mm, bar.y_mm)) for bar in sheet.bars)
    edges = tuple(edge for frame in sheet.frames for edge in _sides(frame))
    return _Shapes(tuple((i, _text_box(t)) for i, t in texts), tuple(boxes), bars, sheet.wires, edges)


def _sides(frame: Frame) -> tuple[Box, ...]:
    x0, y0, x1, y1 = frame.x0_mm, frame.y0_mm, frame.x1_mm, frame.y1_mm
    return (Box(x0, y0, x1, y0), Box(x0, y1, x1, y1), Box(x0, y0, x0, y1), Box(x1, y0, x1, y1))


def _text_on_text(shapes: _Shapes, clearance_mm: float) -> list[str]:
    found = []
    for (a, box), (b, other) in combinations(shapes.texts, 2):
        if overlaps(box, other, clearance_mm if a != b else 0.0):
            found.append(f"texts of {a} and {b} overlap")
    return found


def _text_struck(shapes: _Shapes, clearance_mm: float) -> list[str]:
    lines = [(wire.id, _line(a, b)) for wire in shapes.wires for a, b in pairwise(wire.points)]
    lines += [(bar, _line(a, b)) for bar, a, b in shapes.bars]
    lines += [("boundary", edge) for edge in shapes.edges]
    return [
        f"text of {owner} struck by {line}"
        for owner, box in shapes.texts
        for line, piece in lines
        if overlaps(box, piece, clearance_mm)
    ]


def _text_on_symbol(shapes: _Shapes, clearance_mm: float) -> list[str]:
    return [
        f"text of {owner} on {symbol}"
        for owner, box in shapes.texts
        for symbol, outline in shapes.symbols
        if overlaps(box, outline, clearance_mm)
    ]


def _line_through_symbol(shapes: _Shapes) -> list[str]:
    found = []
    bars = [(bar, _line(a, b)) for bar, a, b in shapes.bars]
    for symbol, outline in shapes.symbols:
        for wire in shapes.wires:
            if any(overlaps(outline, _line(a, b)) for a, b in pairwise(wire.points)):
                found.append(f"wire {wire.id} through {symbol}")
        found += [f"boundary through {symbol}" for edge in shapes.edges if overlaps(outline, edge)]
        found += [f"bar {bar} through {symbol}" for bar, piece in bars if overlaps(outline, piece)]
    found += [f"{a} on {b}" for (a, box), (b, other) in combinations(shapes.symbols, 2) if overlaps(box, other)]
    return found


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Two pieces at right angles cross in their inner parts."""
    if (a[0] == b[0]) == (c[0] == d[0]):
        return False
    if a[0] == b[0]:
        a, b, c, d = c, d, a, b
    low, high = sorted((a[0], b[0]))
    top, bottom = sorted((c[1], d[1]))
    return low < c[0] < high and top < a[1] < bottom


def _along(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Two pieces on one line share more than a point."""
    for axis in (0, 1):
        if a[axis] == b[axis] == c[axis] == d[axis]:
            other = 1 - axis
            low, high = (
                max(min(a[other], b[other]), min(c[other], d[other])),
                min(max(a[other], b[other]), max(c[other], d[other])),
            )
            return high - low > TOUCH_MM
    return False


def _joined(one: PlacedWire, two: PlacedWire) -> bool:
    """Wires that end at the same terminal may run together for their first stretch."""
    ends = {one.points[0], one.points[-1]}
    return bool(ends & {two.points[0], two.points[-1]})


def crossings(wires: Sequence[PlacedWire]) -> int:
    """How often wires cross at a point that is no joint."""
    pieces = [[*pairwise(wire.points)] for wire in wires]
    return sum(_cross(*a, *b) for one, two in combinations(pieces, 2) for a in one for b in two)


def _pairs(sheet: Sheet) -> tuple[int, list[str]]:
    """Number of crossings, and wires that run along each other or through a bar."""
    found = []
    for one, two in combinations(sheet.wires, 2):
        for a, b in pairwise(one.points):
            for c, d in pairwise(two.points):
                if _along(a, b, c, d) and not _joined(one, two):
                    found.append(f"wires {one.id} and {two.id} on one line")
    for wire in sheet.wires:
        for bar in sheet.bars:
            ends = ((bar.x0_mm, bar.y_mm), (bar.x1_mm, bar.y_mm))
            for a, b in pairwise(wire.points):
                if _cross(a, b, *ends) or _along(a, b, *ends):
                    found.append(f"wire {wire.id} across bar {bar.id}")
    return crossings(sheet.wires), found


def _points(sheet: Sheet) -> list[tuple[str, Point]]:
    result = [(wire.id, point) for wire in sheet.wires for point in wire.points]
    result += [(symbol.id, (symbol.x_mm, symbol.y_mm)) for symbol in sheet.symbols]
    return result + [(bar.id, (x, bar.y_mm)) for bar in sheet.bars for x in (bar.x0_mm, bar.x1_mm)]


def _off_grid(sheet: Sheet) -> list[str]:
    return [
        f"{owner} off the grid at {point}"
        for owner, point in _points(sheet)
        if any(abs(value / GRID_MM - round(value / GRID_MM)) > 1e-6 for value in point)
    ]


def _slanted(sheet: Sheet) -> list[str]:
    return [
        f"wire {wire.id} slanted"
        for wire in sheet.wires
        for a, b in pairwise(wire.points)
        if a[0] != b[0] and a[1] != b[1]
    ]


def _boxes(shapes: _Shapes) -> list[tuple[str, Box]]:
    lines = [(wire.id, _line(a, b)) for wire in shapes.wires for a, b in pairwise(wire.points)]
    return [*shapes.texts, *shapes.symbols, *lines, *((bar, _line(a, b)) for bar, a, b in shapes.bars)]


def _outside(shapes: _Shapes, area: Box) -> list[str]:
    return [
        f"{owner} outside the drawing area"
        for owner, box in _boxes(shapes)
        if box.x0_mm < area.x0_mm - TOUCH_MM
        or box.x1_mm > area.x1_mm + TOUCH_MM
        or box.y0_mm < area.y0_mm - TOUCH_MM
        or box.y1_mm > area.y1_mm + TOUCH_MM
    ]


def _fill(shapes: _Shapes, area: Box) -> float:
    boxes = [box for _, box in _boxes(shapes)]
    if not boxes:
        return 0.0
    width = max(b.x1_mm for b in boxes) - min(b.x0_mm for b in boxes)
    height = max(b.y1_mm for b in boxes) - min(b.y0_mm for b in boxes)
    return width * height / ((area.x1_mm - area.x0_mm) * (area.y1_mm - area.y0_mm))


def measure(plan: SheetPlan, symbols: SymbolTable, clearance_mm: float = 0.0) -> Quality:
    """All sheets of a plan; texts must keep `clearance_mm` from whatever is not their own."""
    area = drawing_area(plan.size)
    lists: dict[str, list[str]] = {}
    crossed, fill = 0, 0.0
    for sheet in plan.sheets:
        shapes = _shapes(sheet, symbols)
        more_crossed, along = _pairs(sheet)
        found = {
            "text_on_text": _text_on_text(shapes, clearance_mm),
            "text_struck": _text_struck(shapes, clearance_mm),
            "text_on_symbol": _text_on_symbol(shapes, clearance_mm),
            "line_through_symbol": _line_through_symbol(shapes),
            "line_on_line": along,
            "off_grid": _off_grid(sheet),
            "slanted": _slanted(sheet),
            "outside": _outside(shapes, area),
        }
        for name, more in found.items():
            lists.setdefault(name, []).extend(f"sheet {sheet.number}: {fault}" for fault in more)
        crossed, fill = crossed + more_crossed, max(fill, _fill(shapes, area))
    bends = max((len(wire.points) - 2 for sheet in plan.sheets for wire in sheet.wires), default=0)
    faults = {name: tuple(lists.get(name, ())) for name in FAULTS}
    return Quality(**faults, crossings=crossed, most_bends=bends, fill=round(fill, 3))
