"""From a one-line to sheets: tries the styles from roomy to narrow and takes the first one that fits."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from rigline.layout.bounds import narrowest
from rigline.layout.columns import Arrangement, Columns, Places, depth, up_to_grid
from rigline.layout.compose import Composer
from rigline.layout.connect import Connector
from rigline.layout.forest import Block, Limb, Node, share_posts
from rigline.layout.halves import on_two_sheets
from rigline.layout.heights import Heights
from rigline.layout.hubs import with_hubs
from rigline.layout.labels import Style
from rigline.layout.links import build_forest
from rigline.layout.oneline import Judgement, OneLine
from rigline.layout.places import framed, place_of, with_places_named
from rigline.layout.plan import Flag, Sheet, SheetPlan, SheetSize
from rigline.layout.references import References
from rigline.layout.rows import RowBook, Rows
from rigline.layout.sheet import Box, drawing_area
from rigline.layout.sheets import parted_again, pieces_of, refer_across, refer_within
from rigline.layout.stamps import StampBook, Stamps, lowerable
from rigline.layout.symbols import GRID_MM, SymbolTable
from rigline.layout.untangle import moves, tangle

CORRIDOR_MM = 7.5
"""Free way between two blocks. Our own choice: room for a bond that goes down between them."""
MOST_AIR_MM = 35.0
"""The most that columns move apart to use the width of the sheet. Our own choice."""

FULL_FRAC = 0.93
"""How much of the sheet's width and height is used when there is more than enough. Our own choice."""

STYLES = (
    Style("right"),
    Style("right", joined=True),
    Style("right", mixed=True),
    Style("right", joined=True, mixed=True),
    Style("below"),
    Style("below", joined=True),
    Style("below", mixed=True),
    Style("below", joined=True, mixed=True),
    Style("right", joined=True, left="up"),
    Style("right", joined=True, mixed=True, left="up"),
    Style("right", joined=True, left="all"),
    Style("right", joined=True, mixed=True, left="all"),
    Style("below", joined=True, narrow=True),
    Style("below", joined=True, narrow=True, mixed=True),
    Style("below", joined=True, narrow=True, mixed=True, left="up"),
    Style("below", joined=True, narrow=True, mixed=True, left="all"),
    Style("turned", joined=True, narrow=True, mixed=True),
    Style("turned", joined=True, narrow=True, mixed=True, left="up"),
    Style("turned", turned=True, mixed=True),
)
"""From roomy to narrow. Our own choice."""

QUICK_STYLES = (STYLES[2], STYLES[3], STYLES[11], STYLES[13], STYLES[15], STYLES[17], STYLES[18])
"""The narrowest and lowest ones: what fits none of them fits no sheet."""
LOWEST_STYLE = STYLES[11]
"""The lowest one. Our own choice."""
REFERENCE_ROOM_MM = (12.5, 5.0)
"""What references may still add to the width and height of a sheet. Our own choice, tried on large systems."""
MOST_NAMINGS = 4
"""How often a drawing is laid out again because a place has to be named in a label. Our own choice."""
MOST_TRIES = 16
"""How often one sheet is laid out again for fewer crossings. Our own choice."""
LEAST_PITCH_MM = 15.0
"""No style sets columns closer. Our own choice, for the quick answer only."""


class Fit(Struct):
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


def arranged(blocks: list[Block], stamps: Stamps, air: float = 0.0) -> Arrangement:
    """Blocks from left to right; where one is short, the next may reach under it."""
    columns = Columns(stamps, max(depth(block) for block in blocks) + 1, air)
    result = Arrangement()
    frontier: dict[int, float] = {}
    for block in blocks:
        shape = columns.block(block)
        needs = [frontier[level] - low for level, (low, _) in shape.contour.items() if level in frontier]
        at = up_to_grid(max(needs, default=-min(low for low, _ in shape.contour.values())))
        result.shapes.append((shape, at))
        for level, (_, high) in shape.contour.items():
            frontier[level] = max(frontier.get(level, -1e9), at + high + CORRIDOR_MM + air)
        result.low = min(result.low, at + min(low for low, _ in shape.contour.values()))
    result.high = max(frontier.values(), default=0.0) - CORRIDOR_MM - air
    return result


def lay_out(blocks: list[Block], stamps: Stamps, air: float = 0.0) -> Fit:
    """All positions in one style."""
    places = arranged(blocks, stamps, air).places()
    return Fit(stamps, places, Heights(Rows(blocks, stamps), places, stamps))


def best_fit(blocks: list[Block], book: StampBook, area: Box) -> Fit | None:
    """The roomiest style that fits the area."""
    return _fitting(blocks, RowBook(blocks), book, STYLES, *room(area))


def _fitting(
    blocks: list[Block], row_book: RowBook, book: StampBook, styles: tuple[Style, ...], width: float, height: float
) -> Fit | None:
    lowered = lowerable([block.root for block in blocks if not block.loose])
    bonds = any(limb.depth == "floor" for block in blocks for _, limb in block.all_limbs())
    for style in styles:
        stamps = book.in_style(style)
        for lower in (frozenset(), lowered) if lowered else (lowered,):
            upright = stamps.variant(lower, False)
            if narrowest(blocks, upright) > width:
                continue
            rows = row_book.rows(upright)
            if rows.least_height() > height:
                continue
            for outside in (False, True) if bonds else (False,):
                variant = stamps.variant(lower, outside)
                columns = arranged(blocks, variant)
                if columns.width <= width:
                    places = columns.places()
                    fit = Fit(variant, places, Heights(rows, places, variant))
                    if fit.height <= height:
                        return fit
    return None


def room(area: Box) -> tuple[float, float]:
    """Width and height of an area, less what the grid may cost."""
    return area.x1_mm - area.x0_mm - GRID_MM, area.y1_mm - area.y0_mm - GRID_MM


def widened(blocks: list[Block], fit: Fit, area: Box) -> Fit:
    """The same style with columns moved apart and rows stretched to use the sheet."""
    width, height = room(area)
    width, height = max(fit.width, width * FULL_FRAC), max(fit.height, height * FULL_FRAC)
    slack = width - fit.width
    if slack > 0:
        trial = lay_out(blocks, fit.stamps, air=10.0)
        growth = max(0.1, trial.width - fit.width) / 10.0
        air = min(MOST_AIR_MM, slack / growth)
        while air > 0.5:
            trial = lay_out(blocks, fit.stamps, air=air)
            if trial.width <= width and trial.height <= height:
                fit = trial
                break
            air *= 0.85
    fit.heights.stretch(height)
    return fit


def least_width(blocks: list[Block]) -> float:
    """No style is narrower than this: the level with most columns, closely set."""
    count: dict[int, int] = {}
    stack = [(block.root, 1) for block in blocks if not block.loose]
    while stack:
        node, level = stack.pop()
        for limb in node.limbs():
            at = 0 if limb.above else level
            tip = limb.tip
            if tip is None or tip.is_bar or not tip.limbs():
                count[at] = count.get(at, 0) + (not limb.slot)
            if tip is not None:
                stack.append((tip, at + tip.is_bar))
    return LEAST_PITCH_MM * (max(count.values(), default=0) - 1)


class SheetFitter(Struct):
    """Asks quickly, in the narrowest and lowest styles, whether blocks fit a sheet."""

    book: StampBook
    area: Box

    def fits(self, blocks: list[Block], referring: bool = False) -> bool:
        """The blocks fit one sheet in some style, and also if some wires get a reference."""
        width, height = room(self.area)
        if referring:
            width, height = width - REFERENCE_ROOM_MM[0], height - REFERENCE_ROOM_MM[1]
        row_book = RowBook(blocks)
        if least_width(blocks) > width or self._least_height(blocks, row_book) > height:
            return False
        return _fitting(blocks, row_book, self.book, QUICK_STYLES, width, height) is not None

    def _least_height(self, blocks: list[Block], row_book: RowBook) -> float:
        """Hardly any style is lower than this."""
        lowered = lowerable([block.root for block in blocks if not block.loose])
        lowest = self.book.in_style(LOWEST_STYLE)
        variants = {frozenset[Node](), lowered}
        return min(row_book.rows(lowest.variant(lower, False)).least_height() for lower in variants)

    def too_tall(self, blocks: list[Block]) -> bool:
        """The blocks are higher than the sheet in every style."""
        height = room(self.area)[1]
        lowered = lowerable([block.root for block in blocks if not block.loose])
        variants = {frozenset[Node](), lowered}
        tried = (self.book.in_style(style).variant(lower, False) for style in QUICK_STYLES for lower in variants)
        return not any(lay_out(blocks, stamps).height <= height for stamps in tried)


def _composed(blocks: list[Block], fit: Fit, area: Box) -> Composer:
    """The blocks of one sheet, centred."""
    dx = area.x0_mm + (area.x1_mm - area.x0_mm - fit.width) / 2 - fit.places.low
    dy = area.y0_mm + (area.y1_mm - area.y0_mm - fit.height) / 2
    origin = (round(dx / GRID_MM) * GRID_MM, round(dy / GRID_MM) * GRID_MM)
    composer = Composer(fit.places, fit.heights, fit.stamps, origin)
    composer.draw(blocks)
    return composer


def place(one_line: OneLine, symbols: SymbolTable, size: SheetSize) -> SheetPlan:
    """Sheets with everything of a one-line in its place, and with the places of the vehicle marked."""
    places = place_of(one_line)
    plan, crowded = framed(_placed(one_line, symbols, size), places, symbols)
    named = frozenset[str]()
    for _ in range(MOST_NAMINGS):
        if not crowded:
            break
        named |= crowded
        kept = {id: place for id, place in places.items() if id not in named}
        plan, crowded = framed(_placed(with_places_named(one_line, named), symbols, size), kept, symbols)
    return plan


def _placed(one_line: OneLine, symbols: SymbolTable, size: SheetSize) -> SheetPlan:
    area, book = drawing_area(size), StampBook(symbols)
    hubbed = with_hubs(one_line)
    forests = [build_forest(hubbed, hung_banks).blocks for hung_banks in (True, False)]
    if not forests[0]:
        return SheetPlan(size, (Sheet(1),))
    fitter = SheetFitter(book, area)
    groups = _groups(forests if len(forests[0]) != len(forests[1]) else forests[:1], fitter)
    sheets = [sheet for group in groups for sheet in _sheets(group, fitter)]
    references = References([group for group, _ in sheets], [composer for _, composer in sheets], size)
    drawn = tuple(
        _finished(number, composer, references, one_line.judgements) for number, (_, composer) in enumerate(sheets, 1)
    )
    return SheetPlan(size, drawn)


def _groups(forests: list[list[Block]], fitter: SheetFitter) -> list[list[Block]]:
    """What stands on each sheet: all on one, or on two, or on as many as it takes."""
    for blocks in forests:
        if fitter.fits(blocks):
            return [blocks]
    return on_two_sheets(forests, fitter) or pieces_of(forests[-1], fitter)


def _sheets(group: list[Block], fitter: SheetFitter) -> list[tuple[list[Block], Composer]]:
    """One sheet, or more if references make it too large; wires that find no way become references."""
    while True:
        share_posts(group)
        fit = best_fit(group, fitter.book, fitter.area)
        parts = parted_again(group, fitter) if fit is None else [group]
        if len(parts) > 1:
            refer_across(parts)
            return [sheet for part in parts for sheet in _sheets(part, fitter)]
        if len(parts[0]) > len(group):
            group = parts[0]
            continue
        composer, failed = _tried(group, fit, fitter)
        if not failed:
            return [(group, _untangled(group, composer, fitter))]
        refer_within(group, failed)


def _tried(group: list[Block], fit: Fit | None, fitter: SheetFitter) -> tuple[Composer, list[Limb]]:
    """One sheet, and the wires that found no way."""
    fit = fit or lay_out(group, fitter.book.in_style(LOWEST_STYLE))
    composer = _composed(group, widened(group, fit, fitter.area), fitter.area)
    return composer, Connector(composer, group, fitter.area).connect()


def _untangled(group: list[Block], composer: Composer, fitter: SheetFitter) -> Composer:
    """The sheet with fewer crossings and corners, if some column is better off elsewhere on its bus."""
    best, tries = tangle(composer.drawn.wires), 0
    while best > (0, 0):
        better = None
        for move in moves(group, composer.drawn.wires):
            if tries == MOST_TRIES:
                return composer
            tries += 1
            move.make()
            fit = best_fit(group, fitter.book, fitter.area)
            other, failed = _tried(group, fit, fitter)
            fewer = tangle(other.drawn.wires)
            if fit is not None and not failed and fewer < best:
                better, best = other, fewer
                break
            move.undo()
        if better is None:
            return composer
        composer = better
    return composer


def _finished(number: int, composer: Composer, references: References, judgements: Mapping[int, Judgement]) -> Sheet:
    drawn = composer.drawn
    wires = tuple(references.named(wire) for wire in drawn.wires)
    flags = tuple(_judged(flag, judgements.get(flag.number)) for flag in drawn.flags)
    symbols = tuple(
        replace(symbol, texts=references.entries(symbol.id, symbol.texts, number)) for symbol in drawn.symbols
    )
    bars = tuple(replace(bar, texts=references.bar_label(bar, number)) for bar in drawn.bars)
    return Sheet(
        number, symbols, bars, wires, tuple(drawn.dots), flags,
        texts=tuple(drawn.texts),
    )  # fmt: skip


def _judged(flag: Flag, judgement: Judgement | None) -> Flag:
    if judgement is None:
        return flag
    number = flag.number if judgement.shown is None else judgement.shown
    return replace(flag, number=number, severity=judgement.severity, waived=judgement.waived)
