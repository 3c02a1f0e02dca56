"""From a one-line to sheets: tries the styles from roomy to narrow and takes the first one that fits."""

from __future__ import annotations

from dataclasses import dataclass

from rigline.layout.columns import GAP_MM, Columns, Places, depth, up_to_grid
from rigline.layout.compose import Composer, Drawn
from rigline.layout.forest import Block
from rigline.layout.heights import Heights
from rigline.layout.labels import Style
from rigline.layout.links import build_forest
from rigline.layout.oneline import OneLine
from rigline.layout.plan import Sheet, SheetPlan, SheetSize
from rigline.layout.rows import Rows
from rigline.layout.sheet import Box, drawing_area
from rigline.layout.stamps import Stamps, lowerable
from rigline.layout.symbols import GRID_MM, SymbolTable

CORRIDOR_MM = 7.5
"""Free way between two blocks. Our own choice: room for a bond that goes down between them."""
MOST_AIR_MM = 25.0
"""The most that columns move apart to use the width of the sheet. Our own choice."""

STYLES = (
    Style("right"),
    Style("below"),
    Style("right", tags_left=True),
    Style("below", tags_left=True),
    Style("turned"),
    Style("turned", tags_left=True),
    Style("turned", turned=True),
)
"""From roomy to narrow. Our own choice."""


@dataclass
class Fit:
    """Blocks laid out in one style."""

    stamps: Stamps
    places: Places
    heights: Heights

    @property
    def width(self) -> float:
        """Width of everything."""
        return self.places.high - self.places.low

    @property
    def height(self) -> float:
        """Height of everything."""
        return self.heights.height


def set_columns(blocks: list[Block], stamps: Stamps, air: float) -> Places:
    """The x of everything, blocks from left to right."""
    places = Places()
    x = 0.0
    for block in blocks:
        columns = Columns(stamps, max(depth(b) for b in blocks) + 1, air)
        shape = columns.bar(block.root, 1) if block.root.is_bar else columns.node(block.root, 1)
        low = min(lo for lo, _ in shape.contour.values())
        high = max(hi for _, hi in shape.contour.values())
        at = up_to_grid(x - low)
        places.realize(shape, at)
        x = at + high + CORRIDOR_MM + air
    places.high = x - CORRIDOR_MM - air
    return places


def lay_out(blocks: list[Block], symbols: SymbolTable, style: Style, lower: bool, air: float = 0.0) -> Fit:
    """All positions in one style."""
    roots = [block.root for block in blocks]
    stamps = Stamps(symbols, style, lowerable(roots) if lower else frozenset())
    places = set_columns(blocks, stamps, air)
    return Fit(stamps, places, Heights(Rows(blocks, stamps), places, stamps))


def best_fit(blocks: list[Block], symbols: SymbolTable, area: Box) -> Fit | None:
    """The roomiest style that fits the area."""
    width, height = room(area)
    for style in STYLES:
        for lower in (False, True):
            fit = lay_out(blocks, symbols, style, lower)
            if fit.width <= width and fit.height <= height:
                return fit
    return None


def room(area: Box) -> tuple[float, float]:
    """Width and height of an area, less what the grid may cost."""
    return area.x1_mm - area.x0_mm - GRID_MM, area.y1_mm - area.y0_mm - GRID_MM


def widened(blocks: list[Block], symbols: SymbolTable, fit: Fit, area: Box) -> Fit:
    """The same style with columns moved apart and rows stretched to use the sheet."""
    width, height = room(area)
    style, lower = fit.stamps.style, bool(fit.stamps.lowered)
    slack = width - fit.width
    if slack > 0:
        trial = lay_out(blocks, symbols, style, lower, 10.0)
        growth = max(0.1, trial.width - fit.width) / 10.0
        air = min(MOST_AIR_MM, slack / growth)
        while air > 0.5:
            trial = lay_out(blocks, symbols, style, lower, air)
            if trial.width <= width:
                fit = trial
                break
            air *= 0.85
    fit.heights.stretch(height)
    return fit


def drawn_sheet(blocks: list[Block], fit: Fit, area: Box) -> Drawn:
    """The blocks of one sheet, centred."""
    dx = area.x0_mm + (area.x1_mm - area.x0_mm - fit.width) / 2 - fit.places.low
    dy = area.y0_mm + (area.y1_mm - area.y0_mm - fit.height) / 2
    origin = (up_to_grid(dx), up_to_grid(dy))
    return Composer(fit.places, fit.heights, fit.stamps, origin).draw(blocks)


def place(one_line: OneLine, symbols: SymbolTable, size: SheetSize) -> SheetPlan:
    """Sheets with everything of a one-line in its place."""
    area = drawing_area(size)
    forest = build_forest(one_line)
    fit = best_fit(forest.blocks, symbols, area)
    if fit is None:
        fit = lay_out(forest.blocks, symbols, STYLES[-1], True)
    fit = widened(forest.blocks, symbols, fit, area)
    drawn = drawn_sheet(forest.blocks, fit, area)
    sheet = Sheet(
        1, tuple(drawn.symbols), tuple(drawn.bars), tuple(drawn.wires), tuple(drawn.dots), tuple(drawn.flags),
        texts=tuple(drawn.texts),
    )  # fmt: skip
    return SheetPlan(size, (sheet,))


__all__ = ["GAP_MM", "place"]
