"""Walks a graph once and tells its bridges: the ways whose removal parts what they join.

Most conductors are bridges, so what hangs on each end of every conductor follows from one walk instead of one walk for
each conductor. The method is the depth-first search of Tarjan (1974): a way of the search tree is a bridge if nothing
below it leads back above it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, field

Ways = Sequence[Sequence[tuple[int, int]]]
"""For each place the ways at it: number of the way, and the place at its other end."""


class Walk(Struct):
    """One depth-first walk through all places."""

    order: list[int] = field(default_factory=list)
    """Places in the order in which they were first met."""
    last: dict[int, int] = field(default_factory=dict)
    """For each place where the places below it end in the order."""
    first: dict[int, int] = field(default_factory=dict)
    """For each place where it stands in the order."""
    bridges: dict[int, int] = field(default_factory=dict)
    """Number of each way that is a bridge -> the place at its lower end."""
    groups: list[list[int]] = field(default_factory=list)
    """Places that hang together, in the order of the walk."""

    def below(self, bridge: int) -> list[int]:
        """The places at the lower end of a bridge and below it."""
        place = self.bridges[bridge]
        return self.order[self.first[place] : self.last[place]]


def walk(ways: Ways, starts: Iterator[int] | Sequence[int] | None = None) -> Walk:
    """Walk through everything that can be reached from the starts; from every place if none are named."""
    found = Walk()
    low: dict[int, int] = {}
    for start in range(len(ways)) if starts is None else starts:
        if start not in found.first:
            begin = len(found.order)
            _walk_from(start, ways, found, low)
            found.groups.append(found.order[begin:])
    return found


def _walk_from(start: int, ways: Ways, found: Walk, low: dict[int, int]) -> None:
    found.first[start] = low[start] = len(found.order)
    found.order.append(start)
    stack = [(start, -1, iter(ways[start]))]
    while stack:
        place, came_by, rest = stack[-1]
        for way, other in rest:
            if way == came_by:
                continue
            if other in found.first:
                low[place] = min(low[place], found.first[other])
                continue
            found.first[other] = low[other] = len(found.order)
            found.order.append(other)
            stack.append((other, way, iter(ways[other])))
            break
        else:
            stack.pop()
            _leave(place, came_by, stack[-1][0] if stack else None, found, low)


def _leave(place: int, came_by: int, above: int | None, found: Walk, low: dict[int, int]) -> None:
    found.last[place] = len(found.order)
    if above is not None:
        low[above] = min(low[above], low[place])
        if low[place] == found.first[place]:
            found.bridges[came_by] = place


def blocks(ways: Ways, bridges: Mapping[int, int]) -> list[int]:
    """For each place the number of its block: places that hang together without any bridge."""
    block = [-1] * len(ways)
    count = 0
    for start in range(len(ways)):
        if block[start] < 0:
            block[start] = count
            queue = [start]
            while queue:
                for way, other in ways[queue.pop()]:
                    if block[other] < 0 and way not in bridges:
                        block[other] = count
                        queue.append(other)
            count += 1
    return block
