"""Moves of columns along their bus by which wires that cross may come free of each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from rigline.layout.forest import Block, Limb
from rigline.layout.links import column_order
from rigline.layout.measure import crossings
from rigline.layout.plan import PlacedWire
from rigline.layout.route import FEW_BENDS


class Move:
    """One column to another place among its neighbours, or to the other end of its bus."""

    def __init__(self, limbs: list[Limb], limb: Limb, to: int) -> None:
        self.limbs, self.limb, self.to = limbs, limb, to
        self.before = list(limbs)

    def make(self) -> None:
        """Change the order."""
        self.limbs.remove(self.limb)
        self.limbs.insert(self.to, self.limb)

    def undo(self) -> None:
        """As it was."""
        self.limbs[:] = self.before


class Turn(Move):
    """A column beside a bus to the bus's other end."""

    def __init__(self, limbs: list[Limb], limb: Limb) -> None:
        super().__init__(limbs, limb, 0)

    def make(self) -> None:
        """Face the other way."""
        self.limb.facing = -self.limb.facing
        self.limbs.sort(key=column_order)

    def undo(self) -> None:
        """As it was."""
        self.limb.facing = -self.limb.facing
        super().undo()


def moves(group: list[Block], wires: Sequence[PlacedWire]) -> Iterator[Move]:
    """Columns beside a bus to its other end, columns of crossing wires to the ends or past a neighbour."""
    tangled = _tangled(wires)
    earths = {limb.tip.station.id for block in group for limb in block.root.down if limb.tip and limb.depth == "floor"}
    for block in group:
        for limb in list(block.root.down):
            if limb.base is not None and limb.base.station not in earths:
                yield Turn(block.root.down, limb)
    for node in (node for block in group for node in block.nodes()):
        for limbs in (node.up, node.down):
            fixed = [limb for limb in limbs if limb.base is not None or limb.depth == "floor" or limb.pendant]
            for limb in [limb for limb in limbs if _ids(limb) & tangled and limb not in fixed]:
                at, last = limbs.index(limb), len(limbs) - 1
                for to in dict.fromkeys((0, last, at - 1, at + 1)):
                    if 0 <= to <= last and to != at:
                        yield Move(limbs, limb, to)


def tangle(wires: Sequence[PlacedWire]) -> tuple[int, int]:
    """Number of crossings, and of wires with more corners than an eye follows easily: the less the better."""
    return crossings(wires), len(_winding(wires))


def _winding(wires: Sequence[PlacedWire]) -> set[str]:
    return {wire.id for wire in wires if len(wire.points) - 2 > FEW_BENDS}


def _tangled(wires: Sequence[PlacedWire]) -> set[str]:
    """Segments that cross another or wind."""
    return _winding(wires) | {wire.id for pair in combinations(wires, 2) if crossings(pair) for wire in pair}


def _ids(limb: Limb) -> set[str]:
    """Segments on a column, and those of all that stand on it."""
    own = {tag.segment for tag in limb.feeder.tags}
    if limb.tip is None:
        return own
    return own | {tag.segment for _, inner in Block(limb.tip).all_limbs() for tag in inner.feeder.tags}
