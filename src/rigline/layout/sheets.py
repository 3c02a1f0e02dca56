"""Cuts what is too large for one sheet into pieces, and packs the pieces onto sheets.

First the largest sub-bus moves to a sheet of its own; then blocks are parted; then a long bus goes on, part by part,
under the same designation; last a long column is cut between two devices. At every cut stands a reference to the other
side.
"""

from __future__ import annotations

import math
from typing import Protocol

from msgspec.structs import replace

from rigline.layout.forest import Block, Joint, Limb, Node
from rigline.layout.labels import REFERENCE, SOURCE_REFERENCE
from rigline.layout.oneline import Tag

KEPT_ROWS = 3
"""Rows left above or below a bus when a column is cut because it is too tall. Our own choice: fits every sheet."""
MOST_HOSTS = 6
"""So many sheets before are asked whether they have room for more. Our own choice: what belongs together stays near."""


class Fitter(Protocol):
    """Knows the sheet."""

    def fits(self, blocks: list[Block], referring: bool = False) -> bool:
        """The blocks fit one sheet in some style, and also if some wires get a reference."""

    def too_tall(self, blocks: list[Block]) -> bool:
        """The blocks are higher than the sheet in every style."""


def pieces_of(blocks: list[Block], fitter: Fitter) -> list[list[Block]]:
    """Blocks that don't fit one sheet as groups that do, with references between them; the first is the overview."""
    groups = _packed(_cut_down(blocks, fitter, fits=False), fitter)
    bring_home(groups)
    refer_across(groups)
    return _overview_first(groups)


def _overview_first(groups: list[list[Block]]) -> list[list[Block]]:
    """The group with most of the batteries comes first, of equal ones that from which most wires lead to other sheets.

    If it holds a bus that goes on over several sheets, the first part of that bus comes first.
    """
    first = max(groups, key=lambda group: (_batteries(group), _links(group)))
    parts = {block.root.station.id for block in first if block.root.part}
    begins = (g for g in groups if any(b.root.station.id in parts and b.root.part.startswith("(1/") for b in g))
    first = next(begins, first)
    return [first, *(group for group in groups if group is not first)]


def _batteries(group: list[Block]) -> int:
    return sum(node.station.role == "storage" for block in group for node in block.nodes())


def _links(group: list[Block]) -> int:
    return sum(_referring(limb) for block in group for _, limb in block.all_limbs())


def _referring(limb: Limb) -> bool:
    return any(joint is not None and joint.reference is not None for joint in (limb.joint, limb.base))


def _cut_down(blocks: list[Block], fitter: Fitter, fits: bool) -> list[list[Block]]:
    """Sub-buses move out, the largest first, until what is left fits; `fits` says whether all of it does."""
    group, moved = list(blocks), []
    while not fits and (cut := _largest_sub_bar(group)) is not None:
        moved.append(cut_off(*cut))
        fits = fitter.fits(group, True)
    groups = [group] if fits else [part for block in group for part in _parted(block, fitter)]
    for block in moved:
        groups += _cut_down([block], fitter, fitter.fits([block], True))
    return groups


def parted_again(group: list[Block], fitter: Fitter) -> list[list[Block]]:
    """A group that has become too large by its references, in parts."""
    return _packed([part for block in group for part in _parted(block, fitter)], fitter)


def outer(limb: Limb) -> str:
    """The station at the far end of a column."""
    return limb.tip.station.id if limb.tip is not None else limb.joint.station if limb.joint is not None else ""


def ends_on_bar(limb: Limb) -> bool:
    """A column that ends on a sub-bus."""
    return limb.tip is not None and limb.tip.is_bar and limb.depth == "band"


def _packed(groups: list[list[Block]], fitter: Fitter) -> list[list[Block]]:
    """Groups share a sheet if they fit with room for their references: with the nearest one before that has room."""
    result: list[list[Block]] = []
    for group in groups:
        host = next((host for host in result[: -1 - MOST_HOSTS : -1] if fitter.fits([*host, *group], True)), None)
        if host is not None:
            host += group
        else:
            result.append(list(group))
    return result


def _largest_sub_bar(blocks: list[Block]) -> tuple[Node, Limb] | None:
    """The column that ends on the sub-bus with most stations; the first one of equal ones."""
    subs = [pair for block in blocks for pair in block.all_limbs() if ends_on_bar(pair[1])]
    sizes = _station_counts(blocks)
    return max(subs, key=lambda pair: sizes[pair[1].tip], default=None)


def _station_counts(blocks: list[Block]) -> dict[Node | None, int]:
    """For each node the number of stations of its tree."""
    counts: dict[Node | None, int] = {}
    for node in reversed([node for block in blocks for node in block.nodes()]):
        counts[node] = 1 + sum(counts[limb.tip] for limb in node.limbs() if limb.tip is not None)
    return counts


def cut_off(owner: Node, limb: Limb, keep: int | None = None) -> Block:
    """Make what hangs on a column a block of its own, with references at both sides of the cut.

    `keep` devices stay on the owner's side; without it, all of them do.
    """
    tip = limb.tip
    assert tip is not None
    above, count = limb.above, len(limb.devices)
    keep = count if keep is None else keep
    limb.tip, limb.keep = None, keep
    limb.joint = Joint(tip.station.id, limb.tip_port, REFERENCE)
    stub = Limb(limb.feeder, not limb.flipped, joint=Joint(owner.station.id, limb.base_port, REFERENCE))
    stub.keep, stub.continued, stub.above = count - keep, True, not above
    stub.stands_on = "" if tip.is_bar else tip.station.kind
    (tip.down if above else tip.up).insert(0, stub)
    tip.zone = "root"
    for hung in tip.down:
        hung.pendant = False
    return Block(tip)


def _parted(block: Block, fitter: Fitter) -> list[list[Block]]:
    """One block, in as many parts as it takes."""
    if fitter.fits([block]):
        return [[block]]
    if block.loose:
        return [[part] for part in _loose_parts(block, fitter)]
    if fitter.too_tall([block]):
        sides = _sides(block)
        if sides and all(fitter.fits([side]) for side in sides):
            return [[side] for side in sides]
        cut = _tall_limb(block)
        if cut is not None:
            rest = cut_off(*cut)
            return [*_parted(block, fitter), *_parted(rest, fitter)]
    limbs = block.root.limbs()
    if len(limbs) > 1:
        pieces = _bar_parts(block, fitter) if block.root.is_bar else _hub_parts(block, fitter)
        return [part for piece in pieces for part in _parted(piece, fitter)]
    if limbs and limbs[0].tip is not None and len(limbs[0].tip.limbs()) > 0:
        rest = cut_off(block.root, limbs[0])
        return [[block], *_parted(rest, fitter)]
    return [[block]]


def _hub_parts(block: Block, fitter: Fitter) -> list[Block]:
    """A symbol with as many of its columns as fit; the others go on from a bar of the same designation."""
    root, limbs = block.root, block.root.limbs()
    most = len(limbs) // 2
    while most and not fitter.fits([_with_limbs(root, limbs[:most], "")]):
        most //= 2
    bar = Node(replace(root.station, role="bus"))
    kept, rest = _with_limbs(root, limbs[:most], ""), _with_limbs(bar, limbs[most:], "(2/2)")
    root.up, root.down = kept.root.up, kept.root.down
    return [block, rest]


def _with_limbs(node: Node, limbs: list[Limb], part: str) -> Block:
    """A copy of a node with only some columns."""
    up = [limb for limb in limbs if limb.above]
    down = [limb for limb in limbs if not limb.above]
    return Block(replace(node, up=up, down=down, part=part, zone="root"))


def _tall_limb(block: Block) -> tuple[Node, Limb, int] | None:
    """Where to cut the longest way from the root: the column, and how many of its devices stay."""
    best: tuple[int, tuple[Node, Limb, int]] | None = None
    stack = [(block.root, limb, 0) for limb in block.root.limbs()]
    while stack:
        owner, limb, rows = stack.pop()
        tip = limb.tip
        if tip is None or limb.depth != "band":
            continue
        after = rows + len(limb.devices) + 1
        inside = rows + len(limb.devices) > 1 or rows > 0
        if after > KEPT_ROWS and inside and rows < KEPT_ROWS and (best is None or _size(limb) > best[0]):
            best = (_size(limb), (owner, limb, min(len(limb.devices), KEPT_ROWS - rows)))
        stack += [(tip, child, after) for child in tip.limbs() if child.joint is None]
    return best[1] if best is not None else None


def _size(limb: Limb) -> int:
    """Symbols on a column and all beyond it."""
    beyond = [limb] + ([inner for _, inner in Block(limb.tip).all_limbs()] if limb.tip is not None else [])
    return sum(len(each.devices) + 1 for each in beyond)


def _loose_parts(block: Block, fitter: Fitter) -> list[Block]:
    """Stations without feeders in as few portions as will do."""
    for count in range(2, len(block.loose) + 1):
        size = math.ceil(len(block.loose) / count)
        parts = [block.loose[i : i + size] for i in range(0, len(block.loose), size)]
        made = [Block(part[0], part) for part in parts]
        if all(fitter.fits([part]) for part in made):
            return made
    return [Block(node, (node,)) for node in block.loose]


def _bar_parts(block: Block, fitter: Fitter) -> list[Block]:
    """A bus in as few parts as will do, each with its share of the columns in order."""
    root = block.root
    most = len(root.limbs())
    count = 2
    while True:
        parts = [_bar_part(root, index, count) for index in range(count)]
        parts = [part for part in parts if part.root.limbs()]
        if count >= most or all(fitter.fits([part]) for part in parts):
            return parts
        count = min(most, count + 1 + count // 6)


def _bar_part(root: Node, index: int, count: int) -> Block:
    up, down = _share(root.up, index, count), _share(root.down, index, count)
    if count >= len(root.limbs()):
        mine = root.limbs()[index : index + 1]
        up, down = [limb for limb in root.up if limb in mine], [limb for limb in root.down if limb in mine]
    return Block(replace(root, up=up, down=down, part=f"({index + 1}/{count})"))


def _sides(block: Block) -> list[Block]:
    """A bus in two parts, one with what feeds it and one with what it feeds, so that no column has to be cut."""
    root = block.root
    if not root.is_bar or not root.up or not root.down:
        return []
    return [
        Block(replace(root, up=up, down=down, part=f"({number}/2)"))
        for number, (up, down) in enumerate(((root.up, []), ([], root.down)), 1)
    ]


def _share(limbs: list[Limb], index: int, count: int) -> list[Limb]:
    """One of several equal shares of a list."""
    size = math.ceil(len(limbs) / count)
    return limbs[index * size : (index + 1) * size]


def refer_across(groups: list[list[Block]]) -> None:
    """Joints to something on another sheet become references, with a stub on the other side."""
    sheets_of: dict[str, set[int]] = {}
    node_of: dict[str, Node] = {}
    for number, group in enumerate(groups):
        for block in group:
            for node in block.nodes():
                sheets_of.setdefault(node.station.id, set()).add(number)
                node_of.setdefault(node.station.id, node)
    for number, group in enumerate(groups):
        for block in group:
            for owner, limb in list(block.all_limbs()):
                for joint in (limb.joint, limb.base):
                    if joint is not None and joint.reference is None and number not in sheets_of[joint.station]:
                        refer(owner, limb, joint, node_of[joint.station])


def bring_home(groups: list[list[Block]]) -> None:
    """A column beside a bus moves to the sheet on which the station stands that it comes from."""
    homes = [{node.station.id: block for block in group for node in block.nodes()} for group in groups]
    for group, home in zip(groups, homes, strict=True):
        for block in group:
            for limb in [limb for limb in block.root.down if limb.base is not None and limb.base.reference is None]:
                station = limb.base.station if limb.base is not None else ""
                others = [other[station] for other in homes if station in other and station not in home]
                if others:
                    block.root.down.remove(limb)
                    others[0].root.down.append(limb)


def refer(owner: Node, limb: Limb, joint: Joint, far: Node) -> None:
    """One wire that is not drawn to its end: a reference here, and its last stretch at the far station."""
    if joint is limb.base:
        joint.reference = SOURCE_REFERENCE
        if far.station.medium == "earth" or far.is_earth_bar:
            _named_at(far, limb.tags[:1])
        if far.station.medium != "earth" and not far.is_earth_bar:
            _stub(far, limb, Joint(outer(limb), limb.tip_port, REFERENCE), limb.flipped, far.zone == "up")
        return
    joint.reference = REFERENCE
    if limb.depth == "floor":
        limb.depth = "band"
        _named_at(far, limb.tags[-1:])
        return
    slots = [slot for slot in far.limbs() if slot.slot and slot.feeder is limb.feeder]
    if slots:
        far.up[:] = [slot for slot in far.up if slot not in slots]
        far.down[:] = [slot for slot in far.down if slot not in slots]
    above = far.zone == "up" or (far.zone == "root" and limb.above)
    limb.keep = len(limb.devices)
    _stub(far, limb, Joint(owner.station.id, limb.base_port, REFERENCE), not limb.flipped, above)


def _named_at(earth: Node, tags: tuple[Tag, ...]) -> None:
    """An earth's label says what comes to it from other sheets, so that the reference can be followed both ways."""
    earth.referring += tuple(tag.segment for tag in tags)


def _stub(far: Node, limb: Limb, joint: Joint, flipped: bool, above: bool) -> None:
    """The first stretch of a wire at its far station; the wire with all its devices stands elsewhere."""
    stub = Limb(limb.feeder, flipped, joint=joint, above=above, keep=0, continued=True)
    stub.stands_on = "" if far.is_bar else far.station.kind
    (far.up if above else far.down).append(stub)


def refer_within(group: list[Block], failed: list[Limb]) -> None:
    """Wires that found no way on their sheet become references."""
    nodes = {node.station.id: node for block in group for node in block.nodes()}
    for owner, limb in [pair for block in group for pair in block.all_limbs()]:
        for joint in (limb.joint, limb.base):
            if limb in failed and joint is not None and joint.reference is None:
                refer(owner, limb, joint, nodes[joint.station])
