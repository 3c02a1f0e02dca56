"""The one-line as trees: every bus with what feeds it above and what it feeds below.

A drawing of a system is easy to read when almost everything hangs on a tree. What closes a ring (a tie between buses,
the DC side of an inverter, a second bond) is a `Joint`: its devices stand in a column of the tree like all others, and
only its last stretch of wire has to find its own way.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, field
from msgspec.structs import replace

from rigline.layout.oneline import Device, Feeder, Station, Tag


class Joint(Struct):
    """The far end of a limb that meets something which stands elsewhere."""

    station: str
    port: str
    reference: str | None = None
    """Text of a reference to another place or sheet; then no wire is drawn beyond this end."""


class Limb(Struct, eq=False):
    """One column: a feeder seen from its base going outward, up or down, to its tip."""

    feeder: Feeder
    flipped: bool
    """The base is the feeder's end, not its start."""
    tip: Node | None = None
    joint: Joint | None = None
    """Set if there is no tip."""
    depth: str = "band"
    """band: as deep as its level | floor: down to the earths."""
    base: Joint | None = None
    """Set if the column stands beside the bus and its upper end is joined to a station elsewhere."""
    facing: int = 0
    """-1 or +1: wants to stand at the left or right end, because its partner is there."""
    above: bool = False
    """Stands above its base."""
    pendant: bool = False
    """Hangs down from something that stands above a bus, beside that one's own column."""
    slot: bool = False
    """Only room for a wire that arrives from elsewhere; nothing is drawn."""

    crowded: bool = False
    """Another column leaves the same post of its base: this one leaves from the side where there is room."""
    stands_on: str = ""
    """Kind of the symbol at the base; empty for a bar."""
    keep: int | None = None
    """Devices from the base that stand here, if the column is cut; the others stand elsewhere."""
    continued: bool = False
    """The last segment of a cut column stands with its tag on the other side of the cut."""

    @property
    def devices(self) -> tuple[Device, ...]:
        """Devices from the base outward."""
        if self.slot:
            return ()
        return (self.feeder.devices[::-1] if self.flipped else self.feeder.devices)[: self.keep]

    @property
    def tags(self) -> tuple[Tag, ...]:
        """Tags from the base outward, one more than devices."""
        if self.slot:
            return ()
        tags = self.feeder.tags[::-1] if self.flipped else self.feeder.tags
        if self.keep is None:
            return tags
        kept = tags[: self.keep + 1]
        if not self.continued:
            return kept
        return (*kept[:-1], replace(kept[-1], lines=() if self.feeder.inner else (kept[-1].segment,), flags=()))

    @property
    def base_port(self) -> str:
        """Port at the base as the spec writes it."""
        return "" if self.crowded else self.feeder.end_port if self.flipped else self.feeder.start_port

    @property
    def tip_port(self) -> str:
        """Port at the tip as the spec writes it."""
        return self.feeder.start_port if self.flipped else self.feeder.end_port


class Node(Struct, eq=False):
    """A station with the columns that stand on it and hang from it."""

    station: Station
    up: list[Limb] = field(default_factory=list)
    down: list[Limb] = field(default_factory=list)
    zone: str = "root"
    """root | up | down: where it stands, seen from its block's root."""
    part: str = ""
    """(1/2) and so on, if the bus is continued on another sheet."""
    referring: tuple[str, ...] = ()
    """Segments on other sheets that end here, at an earth: named in its label."""

    @property
    def is_bar(self) -> bool:
        """Drawn as a bar with columns on it."""
        return self.station.role == "bus" and self.station.medium != "earth"

    @property
    def is_earth_bar(self) -> bool:
        """Drawn as a bar at the bottom, to which bonds come down."""
        return self.station.kind == "earth-bus" or (self.station.role == "bus" and self.station.medium == "earth")

    def limbs(self) -> list[Limb]:
        """All columns, from the left above to the right below."""
        return [*self.up, *self.down]


class Block(Struct, eq=False):
    """A root with its trees: what is placed as one piece."""

    root: Node
    loose: tuple[Node, ...] = ()
    """Stations without any feeder, placed in a row instead of a tree."""

    def nodes(self) -> Iterator[Node]:
        """All nodes, root first, in drawing order."""
        if self.loose:
            yield from self.loose
            return
        stack = [self.root]
        while stack:
            node = stack.pop()
            yield node
            stack.extend(limb.tip for limb in reversed(node.limbs()) if limb.tip is not None)

    def all_limbs(self) -> Iterator[tuple[Node, Limb]]:
        """All columns with the node on which they stand."""
        for node in self.nodes():
            for limb in node.limbs():
                yield node, limb


class Forest(Struct):
    """All blocks, in their order from left to right."""

    blocks: list[Block]


def cloned(blocks: list[Block]) -> list[Block]:
    """The same trees made anew, so that they can be cut while the old ones stay whole."""
    return [_cloned_loose(block) if block.loose else Block(_cloned_node(block.root)) for block in blocks]


def _cloned_loose(block: Block) -> Block:
    nodes = tuple(_cloned_node(node) for node in block.loose)
    return Block(nodes[0], nodes)


def _cloned_node(node: Node) -> Node:
    """A node with everything on it; trees are as deep as a system is, so no recursion."""
    top = replace(node)
    stack = [top]
    while stack:
        current = stack.pop()
        current.up = [_cloned_limb(limb) for limb in current.up]
        current.down = [_cloned_limb(limb) for limb in current.down]
        stack += [limb.tip for limb in current.limbs() if limb.tip is not None]
    return top


def _cloned_limb(limb: Limb) -> Limb:
    joint = replace(limb.joint) if limb.joint is not None else None
    base = replace(limb.base) if limb.base is not None else None
    tip = replace(limb.tip) if limb.tip is not None else None
    return replace(limb, tip=tip, joint=joint, base=base)


def share_posts(blocks: list[Block]) -> None:
    """One column at most leaves from each post of a battery; the others fan out beside it."""
    for node in (node for block in blocks for node in block.nodes()):
        for side in (node.up, node.down):
            taken: set[str] = set()
            for limb in side:
                limb.crowded = False
                port = limb.base_port if limb.base is None and not node.is_bar else ""
                limb.crowded = port in ("+", "-") and port in taken
                taken.add(port)
