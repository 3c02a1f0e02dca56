"""Cuts what is too large for one sheet into pieces, and packs the pieces onto sheets.

First the largest sub-bus moves to a sheet of its own; then blocks are parted; then a long bus goes on, part by part,
under the same designation; last a long column is cut between two devices. At every cut stands a reference to the other
side.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from rigline.layout.forest import Block, Joint, Limb, Node

Fits = Callable[[list[Block]], bool]
LONGEST_CHAIN = 3
"""Devices left in a column that is cut because it is too tall. Our own choice: fits the smallest sheet."""
REFERENCE = "to sheet 88 / M88"
"""Stands for a reference until the sheets are known: as wide as any."""


def pieces_of(blocks: list[Block], fits: Fits) -> list[list[Block]]:
    """Groups of blocks, each of which fits a sheet; the first group is the overview."""
    group, moved = list(blocks), []
    while not fits(group):
        cut = _largest_sub_bar(group)
        if cut is None:
            break
        moved.append(cut_off(*cut))
    groups = [group] if fits(group) else _parted(group, fits)
    for block in moved:
        groups += pieces_of([block], fits)
    return _packed(groups, fits)


def _packed(groups: list[list[Block]], fits: Fits) -> list[list[Block]]:
    """Neighbouring groups share a sheet if they fit."""
    result: list[list[Block]] = []
    for group in groups:
        if result and fits([*result[-1], *group]):
            result[-1] = [*result[-1], *group]
        else:
            result.append(group)
    return result


def _largest_sub_bar(blocks: list[Block]) -> tuple[Node, Limb] | None:
    """The column that ends on the sub-bus with most stations; the first one of equal ones."""
    best: tuple[int, tuple[Node, Limb]] | None = None
    for block in blocks:
        for owner, limb in block.all_limbs():
            if limb.tip is not None and limb.tip.is_bar and limb.depth == "band":
                size = sum(1 for _ in Block(limb.tip).nodes())
                if best is None or size > best[0]:
                    best = (size, (owner, limb))
    return best[1] if best is not None else None


def cut_off(owner: Node, limb: Limb) -> Block:
    """Make what hangs on a column a block of its own, with references at both sides of the cut."""
    tip = limb.tip
    assert tip is not None
    limb.tip = None
    limb.joint = Joint(tip.station.id, limb.tip_port, REFERENCE)
    tip.zone = "root"
    stub = Limb(limb.feeder, limb.flipped, joint=Joint(owner.station.id, "", REFERENCE), slot=True, above=True)
    tip.up.insert(0, stub)
    return Block(tip)


def _parted(group: list[Block], fits: Fits) -> list[list[Block]]:
    """Single blocks, and those that are too large still in parts."""
    groups: list[list[Block]] = []
    for block in group:
        if fits([block]):
            groups.append([block])
        elif block.loose:
            groups += [[part] for part in _loose_parts(block, fits)]
        elif block.root.is_bar and len(block.root.limbs()) > 1:
            groups += [[part] for part in _bar_parts(block, fits)]
        else:
            groups.append([block])
    return groups


def _loose_parts(block: Block, fits: Fits) -> list[Block]:
    """Stations without feeders in as few portions as will do."""
    for count in range(2, len(block.loose) + 1):
        size = math.ceil(len(block.loose) / count)
        parts = [block.loose[i : i + size] for i in range(0, len(block.loose), size)]
        made = [Block(part[0], part) for part in parts]
        if all(fits([part]) for part in made):
            return made
    return [Block(node, (node,)) for node in block.loose]


def _bar_parts(block: Block, fits: Fits) -> list[Block]:
    """A bus in as few parts as will do, each with its share of the columns in order."""
    root = block.root
    most = len(root.limbs())
    count = 2
    while True:
        parts = [
            Block(replace(root, up=_share(root.up, i, count), down=_share(root.down, i, count), part=f"({i + 1}/{count})"))
            for i in range(count)
        ]
        if count >= most or all(fits([part]) for part in parts):
            return parts
        count = min(most, count + 1 + count // 6)


def _share(limbs: list[Limb], index: int, count: int) -> list[Limb]:
    """One of several equal shares of a list."""
    size = math.ceil(len(limbs) / count)
    return limbs[index * size : (index + 1) * size]


def refer_across(groups: list[list[Block]]) -> None:
    """Joints to something on another sheet become references, with a stub on the other side."""
    sheet_of: dict[str, int] = {}
    node_of: dict[str, Node] = {}
    for number, group in enumerate(groups):
        for block in group:
            for node in block.nodes():
                sheet_of.setdefault(node.station.id, number)
                node_of.setdefault(node.station.id, node)
    for number, group in enumerate(groups):
        for block in group:
            for owner, limb in list(block.all_limbs()):
                _refer(owner, limb, number, sheet_of, node_of)


def _refer(owner: Node, limb: Limb, number: int, sheet_of: dict[str, int], node_of: dict[str, Node]) -> None:
    joint = limb.joint
    if joint is None or joint.reference is not None or sheet_of.get(joint.station) == number:
        return
    joint.reference = REFERENCE
    if limb.slot or limb.depth == "floor":
        return
    add_stub(node_of[joint.station], limb, owner)


def add_stub(far: Node, limb: Limb, owner: Node) -> None:
    """The other side of a reference at a station; a bus has its slot already."""
    if far.is_bar:
        return
    joint = limb.joint
    assert joint is not None
    above = far.zone != "down"
    stub = Limb(
        limb.feeder, not limb.flipped, joint=Joint(owner.station.id, limb.base_port, REFERENCE), slot=True, above=above
    )
    (far.up if above else far.down).append(stub)


def refer_within(group: list[Block], failed: list[Limb]) -> None:
    """Wires that found no way on their sheet become a pair of references."""
    nodes = {node.station.id: node for block in group for node in block.nodes()}
    limbs = [(owner, limb) for block in group for owner, limb in block.all_limbs()]
    for owner, limb in limbs:
        if limb in failed and limb.joint is not None and limb.joint.reference is None:
            limb.joint.reference = REFERENCE
            add_stub(nodes[limb.joint.station], limb, owner)
        elif limb.slot and limb.joint is not None and any(limb.feeder is other.feeder for other in failed):
            limb.joint.reference = REFERENCE
