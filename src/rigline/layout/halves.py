"""Divides a drawing that is a little too large for one sheet between two, where that hurts least."""

from __future__ import annotations

from rigline.layout.forest import Block, cloned
from rigline.layout.sheets import Fitter, bring_home, cut_off, ends_on_bar, outer, refer_across

MOST_HALVES = 8
"""How many ways to divide a drawing between two sheets are tried. Our own choice, for speed."""
BALANCE = 4.0
"""A drawing all on one sheet and nothing on the other is as bad as so many cut wires. Our own choice."""

Half = tuple[int, int | None]
"""Number of blocks that stay on the first sheet, and of the sub-bus among their columns that moves to the second."""


def on_two_sheets(forests: list[list[Block]], fitter: Fitter) -> list[list[Block]] | None:
    """Two groups that fit a sheet each with their references: few cut wires, and both sheets well filled.

    Args:
        forests: The same system as trees, in one way or several.
        fitter: Knows the sheet.
    """
    halves = [(_harm(blocks, half), number, half) for number, blocks in enumerate(forests) for half in _halves(blocks)]
    for _, number, half in sorted(halves, key=lambda each: each[:2])[:MOST_HALVES]:
        blocks = forests[number]
        groups = _divided(cloned(blocks), half)
        if not all(fitter.fits(group) for group in groups):
            continue
        bring_home(groups)
        refer_across(groups)
        if all(fitter.fits(group) for group in groups):
            return groups
    return None


def _halves(blocks: list[Block]) -> list[Half]:
    """All ways to divide blocks in their order, with or without a sub-bus moving."""
    found: list[Half] = []
    for kept in range(len(blocks), 0, -1):
        limbs = [limb for block in blocks[:kept] for _, limb in block.all_limbs()]
        subs = [number for number, limb in enumerate(limbs) if ends_on_bar(limb)]
        found += [(kept, cut) for cut in (None, *subs) if kept < len(blocks) or cut is not None]
    return found


def _divided(blocks: list[Block], half: Half) -> list[list[Block]]:
    """The two groups; changes the blocks."""
    kept, cut = half
    moved: list[Block] = []
    if cut is not None:
        moved.append(cut_off(*[pair for block in blocks[:kept] for pair in block.all_limbs()][cut]))
    return [blocks[:kept], [*moved, *blocks[kept:]]]


def _harm(blocks: list[Block], half: Half) -> float:
    """Cut wires, and how unevenly the symbols are shared out."""
    kept, cut = half
    limbs = [limb for block in blocks[:kept] for _, limb in block.all_limbs()]
    tip = limbs[cut].tip if cut is not None else None
    moved = [*([Block(tip)] if tip is not None else []), *blocks[kept:]]
    there, everything = _symbols(moved), _symbols(blocks)
    uneven = abs(everything - 2 * there) / max(1, everything)
    return _cut_wires(moved, blocks) + (cut is not None) + BALANCE * uneven


def _symbols(blocks: list[Block]) -> int:
    """Stations and devices."""
    return sum(1 + sum(len(limb.devices) for limb in node.limbs()) for block in blocks for node in block.nodes())


def _cut_wires(moved: list[Block], blocks: list[Block]) -> int:
    """Wires of rings that lead from the moved blocks to the others."""
    ids = {node.station.id for block in moved for node in block.nodes()}
    pairs = [pair for block in blocks for pair in block.all_limbs() if not pair[1].slot]
    ends = [(owner.station.id, joint.station) for owner, limb in pairs if (joint := limb.joint) is not None]
    ends += [(outer(limb), limb.base.station) for _, limb in pairs if limb.base is not None]
    return sum((a in ids) != (b in ids) for a, b in ends)
