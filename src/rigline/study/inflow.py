"""What can flow into every place of one pole's network from each of its sides.

A way whose removal parts the network (most ways are such) has two sides; what a side can bring is what its own sources
and the ways into it bring, each at most what the way may pass. So all sides of all ways follow from two passes over
the tree that these ways form. Where ways close a ring, the greatest flow is found inside the ring alone.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from rigline.study.bridges import Walk, blocks, walk
from rigline.study.flow import maximum_flow

_NONE: frozenset[str] = frozenset()


class Inflow(NamedTuple):
    """What one side can bring."""

    known_a: float = 0.0
    """Greatest flow, devices of unknown rating passing nothing."""
    loose_a: float = 0.0
    """The same with devices of unknown rating passing anything."""
    is_fed: bool = False
    """Whether there is a source at all."""
    unlimited: frozenset[str] = _NONE
    """Sources there that nothing limits, behind devices or not."""
    unknown: frozenset[str] = _NONE
    """What is not known of the devices and sources there."""


NOTHING = Inflow()


class Way(NamedTuple):
    """One way between two places."""

    a: int
    b: int
    known_a: float
    """What it passes at most; 0 if it is not known."""
    loose_a: float
    """The same, infinite if it is not known."""
    one_way: bool
    """From a to b only."""
    unknown: str
    """What is not known of it."""


def _sum(parts: Iterable[Inflow]) -> Inflow:
    known, loose, fed, unlimited, unknown = 0.0, 0.0, False, _NONE, _NONE
    for one in parts:
        known, loose, fed = known + one.known_a, loose + one.loose_a, fed or one.is_fed
        unlimited = unlimited | one.unlimited if one.unlimited else unlimited
        unknown = unknown | one.unknown if one.unknown else unknown
    return Inflow(known, loose, fed, unlimited, unknown)


def _sums_without_each(parts: Sequence[Inflow]) -> list[Inflow]:
    """For each part the sum of all the others."""
    before, after = [NOTHING], [NOTHING]
    for one in parts:
        before.append(_sum((before[-1], one)))
    for one in reversed(parts):
        after.append(_sum((after[-1], one)))
    after.reverse()
    return [_sum((before[index], after[index + 1])) for index in range(len(parts))]


class InflowFinder:
    """Finds what flows into each end of each way when that way is taken out."""

    def __init__(self, ways: Sequence[Way], own: Sequence[Inflow]) -> None:
        self.ways = ways
        self.own = own
        """What the sources at each place bring."""
        self.at: list[list[tuple[int, int]]] = [[] for _ in self.own]
        for number, way in enumerate(self.ways):
            if way.a != way.b:
                self.at[way.a].append((number, way.b))
                self.at[way.b].append((number, way.a))
        self._walk: Walk = walk(self.at)
        self.block = blocks(self.at, self._walk.bridges)
        self._members: dict[int, list[int]] = defaultdict(list)
        for place, block in enumerate(self.block):
            self._members[block].append(place)
        self._into: dict[tuple[int, int], Inflow] = {}
        """(bridge, place at one of its ends) -> what that end's side can bring to that place."""
        self._solve()

    def is_bridge(self, way: int) -> bool:
        """Whether taking a way out parts what it joins."""
        return way in self._walk.bridges

    def side(self, bridge: int, place: int) -> Inflow:
        """What the side of a bridge can bring to the place at its end there."""
        return self._into[bridge, place]

    def end(self, number: int, place: int) -> Inflow:
        """What can flow into one end of a way that is taken out."""
        if self.is_bridge(number):
            return self.side(number, place)
        return self._in_ring(self.block[place], place, number)

    def _bridges_at(self, block: int) -> list[tuple[int, int, int]]:
        """Bridges at a block: number, the place inside, the place beyond."""
        return [
            (number, place, other)
            for place in self._members[block]
            for number, other in self.at[place]
            if number in self._walk.bridges
        ]

    def _solve(self) -> None:
        order = list(dict.fromkeys(self.block[place] for place in self._walk.order))
        up = {self.block[lower]: number for number, lower in self._walk.bridges.items()}
        attached = {block: self._bridges_at(block) for block in order}
        for block in reversed(order):
            if block in up:
                number = up[block]
                self._bring(block, [one for one in attached[block] if one[0] == number], attached[block])
        for block in order:
            self._bring(block, [one for one in attached[block] if one[0] != up.get(block)], attached[block])

    def _bring(self, block: int, wanted: list[tuple[int, int, int]], attached: list[tuple[int, int, int]]) -> None:
        """What a block can bring to some of its bridges, each time without what comes through that bridge itself."""
        if len(self._members[block]) > 1:
            for number, place, _ in wanted:
                self._into[number, place] = self._in_ring(block, place, number)
            return
        place = self._members[block][0]
        if len(wanted) == 1:
            rest = [self._through(one) for one in attached if one[0] != wanted[0][0]]
            self._into[wanted[0][0], place] = _sum((self.own[place], *rest))
            return
        parts = [self.own[place], *(self._through(one) for one in attached)]
        sums = _sums_without_each(parts)[1:]
        asked = {one[0] for one in wanted}
        for (number, inside, _), found in zip(attached, sums, strict=True):
            if number in asked:
                self._into[number, inside] = found

    def _through(self, bridge: tuple[int, int, int]) -> Inflow:
        """What comes into a block through a bridge; nothing as long as the side beyond is not solved."""
        number, inside, beyond = bridge
        found = self._into.get((number, beyond))
        return NOTHING if found is None else _across(self.ways[number], inside, found)

    def _in_ring(self, block: int, sink: int, without: int) -> Inflow:
        """What can flow to a place inside a block without one way; what hangs on the block counts as its sources."""
        inner = self._inner(block, without)
        supplies = self._supplies(block, without)
        met = self._met(inner, sink)
        reached = [one for place, one in supplies if place in met]
        unknown = {
            self.ways[n].unknown for n in inner if self.ways[n].a in met and self.ways[n].b in met
        } - {""}  # fmt: skip
        whole = _sum(reached)
        known, loose = (self._flow(inner, supplies, sink, loose=loose) for loose in (False, True))
        return Inflow(known, loose, whole.is_fed, whole.unlimited, whole.unknown | unknown)

    def _inner(self, block: int, without: int) -> list[int]:
        numbers = {
            number for place in self._members[block] for number, other in self.at[place] if self.block[other] == block
        }
        return sorted(numbers - {without})

    def _supplies(self, block: int, without: int) -> list[tuple[int, Inflow]]:
        found = [(place, self.own[place]) for place in self._members[block] if self.own[place] is not NOTHING]
        found += [(one[1], self._through(one)) for one in self._bridges_at(block) if one[0] != without]
        return [(place, one) for place, one in found if one is not NOTHING]

    def _met(self, inner: Sequence[int], start: int, barred: frozenset[int] = frozenset()) -> set[int]:
        """Places of a block from which current can come to a place."""
        into: dict[int, list[int]] = defaultdict(list)
        for number in inner:
            way = self.ways[number]
            into[way.b].append(way.a)
            if not way.one_way:
                into[way.a].append(way.b)
        met, queue = {start}, [start]
        while queue:
            fresh = [one for one in into[queue.pop()] if one not in met and one not in barred]
            met.update(fresh)
            queue += fresh
        return met

    def _flow(self, inner: Sequence[int], supplies: Sequence[tuple[int, Inflow]], sink: int, *, loose: bool) -> float:
        arcs: list[tuple[int, int, float]] = []
        for number in inner:
            way = self.ways[number]
            most = way.loose_a if loose else way.known_a
            arcs += [(way.a, way.b, most)] if way.one_way else [(way.a, way.b, most), (way.b, way.a, most)]
        amounts: dict[int, float] = defaultdict(float)
        for place, one in supplies:
            amounts[place] += one.loose_a if loose else one.known_a
        return maximum_flow(arcs, amounts, sink)

    def is_fed_beyond(self, number: int, outside: int, barred: frozenset[int], without: int) -> bool:
        """Whether a source lies beyond a way, without going back through some places or a way that is taken out."""
        if self.is_bridge(number):
            return self.side(number, outside).is_fed
        block = self.block[outside]
        met = self._met(self._inner(block, without), outside, barred)
        return any(one.is_fed for place, one in self._supplies(block, without) if place in met)


def _across(way: Way, to: int, found: Inflow) -> Inflow:
    """What of a side comes across a way to one of its ends."""
    if way.one_way and to != way.b:
        return NOTHING
    if math.isinf(way.known_a):
        return found
    return Inflow(
        min(way.known_a, found.known_a),
        min(way.loose_a, found.loose_a),
        found.is_fed,
        found.unlimited,
        found.unknown | {way.unknown} if way.unknown else found.unknown,
    )
