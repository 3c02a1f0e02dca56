"""In which order blocks stand beside each other, and columns above a bus: partners near each other.

A wire between two blocks is short and crosses nothing when the blocks are neighbours and its columns stand at the ends
that face each other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from itertools import combinations, permutations

from rigline.layout.forest import Block, Joint, Limb, Node
from rigline.layout.oneline import Feeder

MOST_PERMUTED = 6
"""So many blocks are tried in every order; of more, only neighbours are exchanged. Our own choice, for speed."""


def arranged(blocks: list[Block], feeders: Iterable[Feeder]) -> list[Block]:
    """Blocks in the order in which the wires between them are shortest; DC stays left of AC."""
    home = {node.station.id: number for number, block in enumerate(blocks) for node in block.nodes()}
    links: dict[tuple[int, int], int] = defaultdict(int)
    for feeder in feeders:
        a, b = home.get(feeder.start), home.get(feeder.end)
        if a is not None and b is not None and a != b:
            links[(min(a, b), max(a, b))] += 1
    alternating = [block.root.station.medium != "dc" for block in blocks]
    order = list(range(len(blocks)))
    best = _permuted(order, links, alternating) if len(blocks) <= MOST_PERMUTED else _swapped(order, links, alternating)
    return [blocks[number] for number in best]


def _span(order: tuple[int, ...], links: dict[tuple[int, int], int]) -> int:
    """Sum of the distances over which wires lead."""
    place = {number: at for at, number in enumerate(order)}
    return sum(count * abs(place[a] - place[b]) for (a, b), count in links.items())


def _permuted(order: list[int], links: dict[tuple[int, int], int], alternating: list[bool]) -> tuple[int, ...]:
    fitting = (each for each in permutations(order) if not _mixed(each, alternating))
    return min(fitting, key=lambda each: _span(each, links), default=tuple(order))


def _mixed(order: tuple[int, ...], alternating: list[bool]) -> bool:
    """An AC block stands left of a DC block."""
    return any(alternating[a] and not alternating[b] for a, b in combinations(order, 2))


def _swapped(order: list[int], links: dict[tuple[int, int], int], alternating: list[bool]) -> tuple[int, ...]:
    best = tuple(order)
    for _ in order:
        before = best
        for at in range(len(order) - 1):
            other = (*best[:at], best[at + 1], best[at], *best[at + 2 :])
            if not _mixed(other, alternating) and _span(other, links) < _span(best, links):
                best = other
        if best == before:
            break
    return best


def face_partners(blocks: list[Block]) -> dict[Limb, int]:
    """Columns above a bus whose wires lead to another block stand at the end that faces it; returns which end."""
    number_of = {node.station.id: number for number, block in enumerate(blocks) for node in block.nodes()}
    partners: dict[str, set[int]] = defaultdict(set)
    for number, block in enumerate(blocks):
        for owner, limb in block.all_limbs():
            if limb.joint is not None and not limb.slot and limb.depth == "band":
                there = number_of.get(limb.joint.station, number)
                partners[limb.joint.station].add(number)
                partners[owner.station.id].add(there)
    sides: dict[Limb, int] = {}
    for number, block in enumerate(blocks):
        if block.root.is_bar:
            sides.update({limb: _side(limb, partners, number) for limb in block.root.up})
            block.root.up.sort(key=lambda limb: sides[limb])
    return sides


def _side(limb: Limb, partners: dict[str, set[int]], here: int) -> int:
    """-1 for a column that belongs at the left end, 1 for one at the right, 0 for all others; 2 for ties."""
    if limb.tip is None:
        return -2 if limb.facing < 0 else 2
    there = {other for node in Block(limb.tip).nodes() for other in partners[node.station.id]} - {here}
    left, right = any(other < here for other in there), any(other > here for other in there)
    return right - left


def holds(column: Limb, joint: Joint) -> bool:
    """The station of a joint stands on this column."""
    return column.tip is not None and any(node.station.id == joint.station for node in Block(column.tip).nodes())


def seat_fed(root: Node, sides: dict[Limb, int]) -> None:
    """What is fed by something above a bus stands beside the bus, at an end that nothing else needs.

    So its wires cross nothing. If both ends are taken, it hangs beside the column of what feeds it.
    """
    ends = {-1: not root.up or sides.get(root.up[0], 0) >= 0, 1: not root.up or sides.get(root.up[-1], 0) <= 0}
    for limb in [limb for limb in root.down if limb.base is not None and limb.depth == "band"]:
        base = limb.base
        column = next((column for column in root.up if base is not None and holds(column, base)), None)
        if column is None or base is None:
            continue
        side = sides.get(column, 0)
        wanted = [end for end in ((side,) if side else (-1, 1)) if ends.get(end)]
        if wanted:
            limb.facing, ends[wanted[0]] = wanted[0], False
            root.up.remove(column)
            root.up.insert(len(root.up) if limb.facing > 0 else 0, column)
        else:
            _hang(root, limb, column)


def _hang(root: Node, limb: Limb, column: Limb) -> None:
    """Beside its source's column, if that leads straight to the bus and is long enough, and the load stands alone."""
    feeding, tip = column.tip, limb.tip
    direct = feeding is not None and limb.base is not None and feeding.station.id == limb.base.station
    if feeding is None or not direct or feeding.down:
        return
    if tip is None or tip.limbs() or len(limb.devices) >= len(column.devices):
        return
    root.down.remove(limb)
    limb.base, limb.pendant, limb.facing = None, True, 0
    feeding.down.append(limb)
