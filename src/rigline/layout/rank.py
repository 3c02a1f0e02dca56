"""Which station hangs on which bus, above or below: the order in which a one-line is read.

A bus with its own sources or batteries is a root and stands at the top level; a bus that is only fed from another one
hangs below it. A root first draws up what feeds it, so that an inverter stands above the AC bus and not below the DC
bus; then everything else is taken downwards. No hash order is used anywhere: the same system gives the same trees.
"""

from __future__ import annotations

from collections import defaultdict

from rigline.layout.forest import Block, Joint, Limb, Node
from rigline.layout.oneline import Feeder, OneLine, Station

SOURCE_ORDER = ("battery", "pv-array", "wind-turbine", "hydro-turbine", "alternator", "vehicle-battery")
"""Sources from the left; all other kinds follow. Our own choice: storage first, then what needs the longest column."""
ROOT_ROLES = {"storage": 3, "converter": 2, "source": 1}
"""Who becomes the middle of a group that has no bus, highest first. Our own choice."""


class Ranking:
    """Takes stations one by one into trees. Only used while the forest is built."""

    def __init__(self, one_line: OneLine, hung_banks: bool) -> None:
        self.stations = {station.id: station for station in one_line.stations}
        self.nodes: dict[str, Node] = {}
        self.used: set[int] = set()
        self.feeders: dict[str, list[Feeder]] = defaultdict(list)
        for feeder in one_line.feeders:
            if not self.is_bond(feeder):
                self.feeders[feeder.start].append(feeder)
                if feeder.end != feeder.start:
                    self.feeders[feeder.end].append(feeder)
        self.joined = {end for feeder in one_line.feeders for end in (feeder.start, feeder.end)}
        self.bars = [station for station in one_line.stations if station.role == "bus" and station.medium != "earth"]
        self.banks = self._banks() if hung_banks else {}
        self.roots = [bar for bar in self.bars if self._is_root(bar)]

    def is_earth(self, station_id: str) -> bool:
        """An earth symbol or an earth bus; both stand at the bottom."""
        station = self.stations[station_id]
        return station.role == "earth" or (station.role == "bus" and station.medium == "earth")

    def is_bond(self, feeder: Feeder) -> bool:
        """Bonds come last: they never decide where a station stands."""
        return feeder.kind == "bond" or self.is_earth(feeder.start) or self.is_earth(feeder.end)

    def other(self, feeder: Feeder, station_id: str) -> Station:
        """The station at the other end."""
        return self.stations[feeder.end if feeder.start == station_id else feeder.start]

    def _banks(self) -> dict[str, str]:
        """Buses that only gather batteries, and the bus that each feeds: they hang from it, as a battery would."""
        found: dict[str, str] = {}
        for bar in self.bars:
            others = [self.other(feeder, bar.id) for feeder in self.feeders[bar.id]]
            rest = [other for other in others if other.role != "storage"]
            if len(rest) == 1 < len(others) and rest[0].role == "bus" and rest[0].id not in found:
                found[bar.id] = rest[0].id
        return found

    def _is_root(self, bar: Station) -> bool:
        """A bus with a supply of its own, or one that nothing of its kind feeds."""
        if bar.id in self.banks:
            return False
        if bar.id in self.banks.values():
            return True
        feeding = [f for f in self.feeders[bar.id] if f.end == bar.id and f.start != bar.id]
        if any(self.other(f, bar.id).role == "storage" for f in self.feeders[bar.id]):
            return True
        verdicts = [self._independent(f, {bar.id}) for f in feeding]
        return any(verdicts) or not feeding

    def _independent(self, feeder: Feeder, seen: set[str]) -> bool:
        """Whether what comes in here comes from a source or from the other kind of current, not from a bus."""
        pending = [feeder]
        while pending:
            current = pending.pop()
            start = self.stations[current.start]
            if start.id in seen or start.role == "bus":
                continue
            seen.add(start.id)
            incoming = [f for f in self.feeders[start.id] if f.end == start.id]
            if not incoming or any(f.kind != feeder.kind for f in incoming):
                return True
            pending.extend(incoming)
        return False

    def free(self, station: Station) -> bool:
        """Not yet in a tree, and no earth."""
        return station.id not in self.nodes and not self.is_earth(station.id)

    def adopt(self, parent: Node, feeder: Feeder, station: Station, zone: str) -> Node:
        """Hang a station on its parent."""
        node = Node(station, zone=zone)
        self.nodes[station.id] = node
        self.used.add(id(feeder))
        limb = Limb(feeder, flipped=feeder.start != parent.station.id, tip=node)
        (parent.up if zone == "up" else parent.down).append(limb)
        return node

    def lower(self, root: Node, feeding: Node, feeder: Feeder, station: Station) -> Node:
        """Hang a load of something above a bus beside the bus, so that loads are below and sources above."""
        node = self.adopt(root, feeder, station, "down")
        limb = root.down[-1]
        limb.flipped, limb.facing = False, -1
        limb.base = Joint(feeding.station.id, feeder.start_port)
        return node

    def makes_ac(self, station: Station) -> bool:
        """An inverter: it belongs above the AC bus that it feeds."""
        return any(
            f.kind == "ac" and f.start == station.id and self.other(f, station.id).role in ("bus", "converter")
            for f in self.feeders[station.id]
        )

    def pull_up(self, root: Node) -> None:
        """Take what feeds a root, and what feeds that, upwards."""
        stack = [root]
        while stack:
            node = stack.pop()
            for feeder in self.feeders[node.station.id]:
                other = self.other(feeder, node.station.id)
                supplies = feeder.end == node.station.id or (node is root and other.role == "storage")
                if id(feeder) in self.used or other.role == "bus" or not self.free(other) or not supplies:
                    continue
                if root.is_bar and root.station.medium == "dc" and self.makes_ac(other):
                    continue
                stack.append(self.adopt(node, feeder, other, "up"))

    def pull_down(self, root: Node, any_direction: bool = False) -> None:
        """Take what a root feeds, and what that feeds, downwards; first in, first out."""
        queue = [root]
        for node in queue:
            zone = "up" if node.zone == "up" else "down"
            for feeder in self.feeders[node.station.id]:
                other = self.other(feeder, node.station.id)
                if id(feeder) in self.used or not self.free(other):
                    continue
                if other.role == "bus" and (other in self.roots or zone == "up"):
                    continue
                feeds = feeder.start == node.station.id and node.zone != "up"
                if feeds or self.banks.get(other.id) == node.station.id:
                    queue.append(self.adopt(node, feeder, other, "down"))
                elif any_direction and node.zone == "up" and other.role == "load" and feeder.start == node.station.id:
                    queue.append(self.lower(root, node, feeder, other))
                elif any_direction and other.role != "bus":
                    side = "up" if node.zone == "root" and feeder.end == node.station.id else zone
                    queue.append(self.adopt(node, feeder, other, side))
            if any_direction and node is root:
                queue.extend(n for n in descendants(root) if n not in queue)


def descendants(root: Node) -> list[Node]:
    """All nodes above and below a root, without it."""
    return list(Block(root).nodes())[1:]


def _plant(ranking: Ranking, stations: list[Station]) -> list[Node]:
    """Make roots and let each take its sources, then its loads, then what is left."""
    roots = [Node(station) for station in stations]
    ranking.nodes.update({root.station.id: root for root in roots})
    for root in sorted(roots, key=lambda root: root.station.medium != "dc"):
        ranking.pull_up(root)
    for root in roots:
        ranking.pull_down(root)
    for root in roots:
        ranking.pull_down(root, any_direction=True)
    return roots


def _next_root(ranking: Ranking, left: list[Station]) -> Station:
    """The middle of a group without a bus; a chain is hung from its source."""

    def weight(station: Station) -> tuple[int, int]:
        feeders = ranking.feeders[station.id]
        if station.role == "bus":
            return (9, len(feeders))
        if station.id not in ranking.joined:
            return (-1, 0)
        return (ROOT_ROLES.get(station.role, 0), len(feeders))

    return max(left, key=weight)


def build_trees(ranking: Ranking) -> list[Block]:
    """Every station but the earths in exactly one tree."""
    roots = _plant(ranking, list(ranking.roots))
    while True:
        left = [station for station in ranking.stations.values() if ranking.free(station)]
        if not left:
            break
        station = _next_root(ranking, left)
        if station.id not in ranking.joined and station.role != "bus":
            break
        roots += _plant(ranking, [station])
    blocks = [Block(root) for root in sorted(roots, key=lambda root: root.station.medium != "dc")]
    loose = [Node(station) for station in ranking.stations.values() if ranking.free(station)]
    ranking.nodes.update({node.station.id: node for node in loose})
    return blocks + ([Block(loose[0], tuple(loose))] if loose else [])


def source_key(limb: Limb) -> tuple[int, str]:
    """Sorts what stands above a bus: by the kind of the furthest source, storage first."""
    node = limb.tip
    if node is not None and node.station.role == "storage":
        return (-1, node.station.id)
    while node is not None and node.up and node.up[0].tip is not None:
        node = node.up[0].tip
    kind = node.station.kind if node is not None else ""
    rank = SOURCE_ORDER.index(kind) if kind in SOURCE_ORDER else len(SOURCE_ORDER)
    return (rank, node.station.id if node is not None else "")
