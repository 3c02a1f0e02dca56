"""A picture of a whole symbol set, with the name and the terminals of each symbol, for the gallery."""

from __future__ import annotations

from rigline.drawing.ink import Ink, Placing, symbol_ink
from rigline.drawing.legend import KIND_NAMES
from rigline.drawing.render import render_ink
from rigline.drawing.symbol import THIN_MM, Circle, Symbol
from rigline.drawing.symbols import ALL_KINDS, symbol_for
from rigline.layout.plan import SheetSize, Text
from rigline.layout.text import shortened

COLUMNS = 7
CELL_MM = (40.0, 34.0)
"""Width and height of a symbol's field."""
MARGIN_MM = 12.0
HEAD_MM = 12.0
"""Height of the heading."""
TERMINAL_RADIUS_MM = 0.55
SET_NAMES = {"iec": "Symbols after IEC 60617", "ieee": "Symbols after IEEE Std 315"}


def _entry(symbol: Symbol, x: float, y: float) -> Ink:
    """A symbol with its terminals as small rings, its name, and the terminals' names."""
    ink = symbol_ink(symbol, Placing(x, y))
    rings = tuple(
        Circle((x + terminal.x_mm, y + terminal.y_mm), TERMINAL_RADIUS_MM, THIN_MM, "white")
        for terminal in symbol.terminals.values()
    )
    terminals = shortened(" ".join(symbol.terminals), CELL_MM[0] - 2.0, 1.8)
    name = Text(x, y + 14.0, KIND_NAMES[symbol.kind], 2.5, "middle")
    return ink + Ink(rings, (name, Text(x, y + 18.0, terminals, 1.8, "middle")))


def symbol_sheet(style: str) -> str:
    """All symbols of a set (iec or ieee) as one SVG, at the size they have on a drawing."""
    rows = -(-len(ALL_KINDS) // COLUMNS)
    size = SheetSize(style, 2 * MARGIN_MM + COLUMNS * CELL_MM[0], 2 * MARGIN_MM + HEAD_MM + rows * CELL_MM[1])
    parts = [("Heading", Ink(texts=(Text(MARGIN_MM, MARGIN_MM + 3.5, SET_NAMES[style], 3.5, bold=True),)))]
    for i, kind in enumerate(ALL_KINDS):
        x = MARGIN_MM + (i % COLUMNS + 0.5) * CELL_MM[0]
        y = MARGIN_MM + HEAD_MM + (i // COLUMNS) * CELL_MM[1] + 10.0
        parts.append((KIND_NAMES[kind], _entry(symbol_for(kind, style), x, y)))
    return render_ink(size, SET_NAMES[style], f"{len(ALL_KINDS)} symbols, one for each kind of component.", parts)
