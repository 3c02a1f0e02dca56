"""What does not fit into a tree: ties between buses, the second side of a converter, and the bonds to earth.

Each gets a column in the tree of one of its ends, where its devices stand in line like any others, and a `Joint` at
its tip that says where the wire goes on. A bond goes straight down to the earths at the bottom.
"""

from __future__ import annotations

from rigline.layout.forest import Block, Forest, Joint, Limb, Node
from rigline.layout.oneline import Feeder, OneLine
from rigline.layout.order import arranged, face_partners, holds, seat_fed
from rigline.layout.rank import Ranking, build_trees, source_key


def build_forest(one_line: OneLine, hung_banks: bool = False) -> Forest:
    """All stations and feeders of a one-line as trees and joints.

    Args:
        one_line: The system.
        hung_banks: Buses that only gather batteries hang from the bus that they feed, instead of standing beside it.
    """
    ranking = Ranking(one_line, hung_banks)
    blocks = arranged(build_trees(ranking), one_line.feeders)
    linker = _Linker(ranking, blocks)
    earthed = [f for f in one_line.feeders if ranking.is_earth(f.start) or ranking.is_earth(f.end)]
    for feeder in one_line.feeders:
        if feeder not in earthed and id(feeder) not in ranking.used:
            linker.link(feeder)
    # Bonds of earths with each other come last: by then the earths stand where something is bonded to them.
    for feeder in sorted(earthed, key=lambda f: ranking.is_earth(f.start) and ranking.is_earth(f.end)):
        linker.bond(feeder)
    linker.plant_left_over_earths()
    for block in blocks:
        _sort(block)
    sides = face_partners(blocks)
    for block in blocks:
        seat_fed(block.root, sides)
        _turn_bonds(block.root)
    return Forest(blocks)


class _Linker:
    """Adds joints to finished trees."""

    def __init__(self, ranking: Ranking, blocks: list[Block]) -> None:
        self.ranking = ranking
        self.nodes = ranking.nodes
        self.blocks = blocks
        self.block_of: dict[str, int] = {}
        for number, block in enumerate(blocks):
            self.block_of.update({node.station.id: number for node in block.nodes()})

    def link(self, feeder: Feeder) -> None:
        """A feeder whose two stations already stand somewhere."""
        start, end = self.nodes[feeder.start], self.nodes[feeder.end]
        base, far, flipped = (start, end, False)
        if end.is_bar and not start.is_bar:
            base, far, flipped = end, start, True
        up = self._goes_up(base, far)
        limb = Limb(feeder, flipped, joint=Joint(far.station.id, ""), facing=self._facing(base, far))
        if limb.joint is not None:
            limb.joint.port = limb.tip_port
        (base.up if up else base.down).append(limb)
        if far.is_bar and far is not base:
            self._reserve(feeder, far, base, up)

    def _goes_up(self, base: Node, far: Node) -> bool:
        if base.zone != "root":
            return base.zone == "up"
        return far.zone == "up" or (far.zone == "root" and far is not base)

    def _reserve(self, feeder: Feeder, bar: Node, partner: Node, up: bool) -> None:
        """Room at a bar for the wire that arrives from its partner."""
        slot = Limb(feeder, False, joint=Joint(partner.station.id, ""), slot=True, facing=self._facing(bar, partner))
        (bar.up if up and bar.zone == "root" else bar.down).append(slot)

    def _facing(self, node: Node, partner: Node) -> int:
        """Towards which end of its bus a column to a partner should stand."""
        here, there = self.block_of[node.station.id], self.block_of[partner.station.id]
        return -1 if there < here else 1

    def bond(self, feeder: Feeder) -> None:
        """A bonding conductor: straight down to its earth, or to the wire that already goes there."""
        start, end = feeder.start, feeder.end
        earth_first = self.ranking.is_earth(start) and not self.ranking.is_earth(end)
        base_id, far_id = (end, start) if earth_first else (start, end)
        if base_id not in self.nodes and far_id in self.nodes:
            base_id, far_id = far_id, base_id
        base = self.nodes.get(base_id) or self._plant_earth(base_id)
        flipped = base_id != start
        limb = Limb(feeder, flipped, depth="floor")
        if far_id not in self.nodes:
            limb.tip = self._new_earth(far_id, self.block_of[base_id])
        else:
            limb.joint = Joint(far_id, limb.tip_port)
        self._hang(base, limb)

    def _hang(self, base: Node, limb: Limb) -> None:
        """From the bar itself, or beside the root bar with a wire from the station."""
        far_id = limb.tip.station.id if limb.tip is not None else limb.joint.station if limb.joint else ""
        here, there = self.block_of[base.station.id], self.block_of[far_id]
        limb.facing = -1 if there < here or (here == there and here > 0) else 1
        if base.is_bar and not self.ranking.is_earth(base.station.id):
            base.down.append(limb)
            return
        limb.base = Joint(base.station.id, limb.base_port)
        self.blocks[here].root.down.append(limb)

    def _new_earth(self, station_id: str, block: int) -> Node:
        node = Node(self.ranking.stations[station_id], zone="down")
        self.nodes[station_id] = node
        self.block_of[station_id] = block
        return node

    def _plant_earth(self, station_id: str) -> Node:
        """An earth to which only other earths are bonded: a block of its own."""
        node = Node(self.ranking.stations[station_id])
        self.nodes[station_id] = node
        self.block_of[station_id] = len(self.blocks)
        self.blocks.append(Block(node))
        return node

    def plant_left_over_earths(self) -> None:
        """Earths that nothing is bonded to are drawn all the same."""
        for station_id in self.ranking.stations:
            if station_id not in self.nodes:
                self._plant_earth(station_id)


def column_order(limb: Limb) -> tuple[int, int]:
    """Faces left, batteries, loads, sub-buses, bonds, faces right."""
    if limb.base is not None:
        return (4 * limb.facing, 0)
    if limb.joint is not None or limb.depth == "floor":
        return (3 * limb.facing, 0)
    tip = limb.tip
    if tip is not None and tip.station.role in ("storage", "source"):
        return (-1, 0)
    if tip is not None and any(below.tip is not None and below.tip.station.role == "storage" for below in tip.down):
        return (-1, 0)
    return (1, 0) if tip is not None and _has_bar(tip) else (0, 0)


def _turn_bonds(root: Node) -> None:
    """A bond of something above a bus goes down on the side on which it stands."""
    for limb in root.down:
        base = limb.base
        stands = [number for number, column in enumerate(root.up) if base is not None and holds(column, base)]
        if stands:
            limb.facing = -1 if 2 * stands[0] <= len(root.up) - 1 else 1
    root.down.sort(key=lambda limb: (column_order(limb), _outward(root, limb)))


def _outward(root: Node, limb: Limb) -> tuple[int, int]:
    """How far out a column beside a bus stands: what comes from further away goes round what comes from nearer."""
    if limb.base is None:
        return (0, 0)
    columns = root.up if limb.facing < 0 else root.up[::-1]
    for number, column in enumerate(columns):
        if column.tip is not None:
            for height, node in enumerate(Block(column.tip).nodes()):
                if node.station.id == limb.base.station:
                    return (number, height)
    return (0, 0)


def _has_bar(node: Node) -> bool:
    """A bus stands at or below this node."""
    return any(other.is_bar for other in Block(node).nodes())


def _sort(block: Block) -> None:
    """Bring the columns of every node into their order; equal ones stay in the order of the spec."""
    for node in list(block.nodes()):
        node.down.sort(key=column_order)
        upward = sorted((limb for limb in node.up if limb.tip is not None), key=source_key)
        left = [limb for limb in node.up if limb.tip is None and limb.facing < 0]
        right = [limb for limb in node.up if limb.tip is None and limb.facing >= 0]
        node.up[:] = left + upward + right
        for limb in node.up:
            limb.above = True
        for limb in node.limbs():
            limb.stands_on = "" if node.is_bar or limb.base is not None else node.station.kind
