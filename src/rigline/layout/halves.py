"""Divides a drawing that is a little too large for one sheet between two, where that hurts least."""

from __future__ import annotations

from collections.abc import Iterator
from heapq import nsmallest
from itertools import accumulate

from rigline.layout.forest import Block, Node, cloned
from rigline.layout.sheets import Fitter, bring_home, cut_off, ends_on_bar, outer, refer_across

MOST_HALVES = 8
"""How many ways to divide a drawing between two sheets are tried. Our own choice, for speed."""
BALANCE = 4.0
"""A drawing all on one sheet and nothing on the other is as bad as so many cut wires. Our own choice."""

Half = tuple[int, int | None]
"""Number of blocks that stay on the first sheet, and of the sub-bus among their columns that moves to the second."""
Span = tuple[int, int]
"""From a position in drawing order up to another, without it."""


def on_two_sheets(forests: list[list[Block]], fitter: Fitter) -> list[list[Block]] | None:
    """Two groups that fit a sheet each with their references: few cut wires, and both sheets well filled.

    Args:
        forests: The same system as trees, in one way or several.
        fitter: Knows the sheet.
    """
    halves = [each for number, blocks in enumerate(forests) for each in _halves(_Tour(blocks), number)]
    for _, number, half in nsmallest(MOST_HALVES, halves, key=lambda each: each[:2]):
        groups = _divided(cloned(forests[number]), half)
        if not all(fitter.fits(group) for group in groups):
            continue
        bring_home(groups)
        refer_across(groups)
        if all(fitter.fits(group) for group in groups):
            return groups
    return None


def _halves(tour: _Tour, number: int) -> Iterator[tuple[float, int, Half]]:
    """All ways to divide blocks in their order, with or without a sub-bus moving, and the harm that each does."""
    for kept in range(tour.blocks, 0, -1):
        limbs = tour.limbs[: tour.limbs_before[kept]]
        subs = [index for index, limb in enumerate(limbs) if ends_on_bar(limb)]
        for cut in (None, *subs) if kept < tour.blocks else subs:
            yield tour.harm(kept, cut), number, (kept, cut)


def _divided(blocks: list[Block], half: Half) -> list[list[Block]]:
    """The two groups; changes the blocks."""
    kept, cut = half
    moved: list[Block] = []
    if cut is not None:
        moved.append(cut_off(*[pair for block in blocks[:kept] for pair in block.all_limbs()][cut]))
    return [blocks[:kept], [*moved, *blocks[kept:]]]


class _Tour:
    """The nodes of blocks in drawing order: what hangs on one is a stretch of it, so no half has to be walked."""

    def __init__(self, blocks: list[Block]) -> None:
        nodes = [node for block in blocks for node in block.nodes()]
        pairs = [pair for block in blocks for pair in block.all_limbs()]
        self.blocks = len(blocks)
        self.limbs = [limb for _, limb in pairs]
        self.limbs_before = [0, *accumulate(sum(1 for _ in block.all_limbs()) for block in blocks)]
        self.starts = [0, *accumulate(sum(1 for _ in block.nodes()) for block in blocks)]
        self.at = {node.station.id: position for position, node in enumerate(nodes)}
        self.end = self._ends(nodes)
        """Behind everything that hangs on the node at a position."""
        weights = (1 + sum(len(limb.devices) for limb in node.limbs()) for node in nodes)
        self.symbols = [0, *accumulate(weights)]
        """Stations and devices before each position."""
        drawn = [(owner, limb) for owner, limb in pairs if not limb.slot]
        ends = [(owner.station.id, joint.station) for owner, limb in drawn if (joint := limb.joint) is not None]
        ends += [(outer(limb), limb.base.station) for _, limb in drawn if limb.base is not None]
        self.rings = [(self.at.get(a, -1), self.at.get(b, -1)) for a, b in ends]
        """The ends of each wire that isn't part of a tree."""

    def _ends(self, nodes: list[Node]) -> list[int]:
        end = list(range(1, len(nodes) + 1))
        for position in range(len(nodes) - 1, -1, -1):
            tips = [limb.tip for limb in nodes[position].limbs() if limb.tip is not None]
            end[position] = max([end[position], *(end[self.at[tip.station.id]] for tip in tips)])
        return end

    def harm(self, kept: int, cut: int | None) -> float:
        """Cut wires, and how unevenly the symbols are shared out."""
        moved = [(self.starts[kept], self.starts[-1])]
        tip = self.limbs[cut].tip if cut is not None else None
        if tip is not None:
            position = self.at[tip.station.id]
            moved.append((position, self.end[position]))
        there = sum(self.symbols[high] - self.symbols[low] for low, high in moved)
        uneven = abs(self.symbols[-1] - 2 * there) / max(1, self.symbols[-1])
        return self._cut_wires(moved) + (cut is not None) + BALANCE * uneven

    def _cut_wires(self, moved: list[Span]) -> int:
        """Wires of rings that lead from what moves to the rest."""
        return sum(_within(a, moved) != _within(b, moved) for a, b in self.rings)


def _within(position: int, spans: list[Span]) -> bool:
    return any(low <= position < high for low, high in spans)
