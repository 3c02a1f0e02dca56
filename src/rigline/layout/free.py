"""Columns that are spaced by themselves, not in the rows of their neighbours.

Two kinds: a battery at the lower left of its bus, and what hangs from something above a bus, such as a pump that is
wired to the battery itself and stands beside the battery's own column.
"""

from __future__ import annotations

from rigline.layout.columns import up_to_grid
from rigline.layout.forest import Limb
from rigline.layout.stamps import Stamps
from rigline.layout.symbols import GRID_MM

CLEAR_MM = 2.0
"""Free space between the line where such a column begins and its first tag. Our own choice."""
TAG_CLEAR_MM = 1.0
"""Clearance between a tag and the symbols above and below it. Our own choice."""
MOST_STRETCH_MM = 20.0
"""The most that one gap grows to use the height there is. Our own choice."""


def _parts(stamps: Stamps, limb: Limb) -> tuple[list[float], list[float]]:
    """Heights of the symbols and of the gaps of a column, from its beginning down."""
    symbols = [stamps.device(limb, device) for device in limb.devices]
    if limb.tip is not None:
        symbols.append(stamps.node(limb.tip))
    heights = [max(stamp.up + stamp.down, stamp.beside_up + stamp.beside_down) for stamp in symbols]
    gaps = [tag.up + tag.down + 2 * TAG_CLEAR_MM for tag in stamps.tags(limb)]
    if stamps.left_tags(limb):
        gaps[1:-1] = [max(5.0, gap - 10.0) for gap in gaps[1:-1]]
    return heights, gaps


def least_height(stamps: Stamps, limb: Limb) -> float:
    """The least height of a column, from where it begins."""
    symbols, gaps = _parts(stamps, limb)
    return CLEAR_MM + sum(symbols) + sum(gaps) + GRID_MM * len(symbols)


def seats(stamps: Stamps, limb: Limb, room: float) -> tuple[list[float], list[float]]:
    """Distances of the symbols' middles and of the gaps' middles from where the column begins."""
    symbols, gaps = _parts(stamps, limb)
    spare = room - least_height(stamps, limb)
    extra = min(MOST_STRETCH_MM, max(0.0, spare / max(1, len(gaps))))
    edge, middles, between = CLEAR_MM, [], []
    for symbol, gap in zip(symbols, gaps, strict=False):
        middle = up_to_grid(edge + gap + extra + symbol / 2)
        between.append((edge + middle - symbol / 2) / 2)
        middles.append(middle)
        edge = middle + symbol / 2
    return middles, between
