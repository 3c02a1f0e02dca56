"""How far it is along the wire from a source to the first overcurrent devices that it meets."""

from __future__ import annotations

from heapq import heappop, heappush

from msgspec import Struct

from rigline.graph.build import SystemGraph
from rigline.kinds.devices import Overcurrent
from rigline.model.system import HOT_LEGS, Conductor, Node
from rigline.standards.profiles import Limit, Profile

IN_A_BOX = frozenset({"fuse-block", "dc-panel", "ac-panel"})
"""Kinds that hold the devices of their circuits: such a device stands in the box, at no distance from its bar."""


AC_SOURCE = Limit(0.5, "ISO 13297:2020 13.2.2, AC source", "verified")
"""Where the boats' international standard is stricter for AC than for charging sources."""


class Tap(Struct, frozen=True):
    """The stretch between a source and one overcurrent device."""

    device: str
    length_m: float | None
    """Along the conductor; None if a stretch of it is not known."""
    known_m: float
    """Sum of the stretches that are known."""
    sheathed: bool
    """Whether every stretch is sheathed or enclosed."""
    segments: tuple[str, ...]


def source_limit(profile: Profile, pole: str, sheathed: bool) -> Limit | None:
    """How far a first device may stand from a bus or source that is no battery; None if only 'as near as practicable'.

    Args:
        profile: The rule set.
        pole: Pole of the tap.
        sheathed: Whether all of it is sheathed or enclosed.
    """
    if pole in HOT_LEGS and profile.name in ("intl-boat", "uk-inland-boat"):
        return AC_SOURCE
    return either_limit(profile.tap_source_bare_m, profile.tap_source_sheathed_m, sheathed)


def either_limit(bare: Limit | None, covered: Limit | None, sheathed: bool) -> Limit | None:
    """The limit that holds for a stretch; a rule set may have one for both covers."""
    return (covered if sheathed else bare) or (covered if bare is None else None)


def is_beyond(tap: Tap, limit: Limit) -> bool:
    """Whether what is known of a stretch is longer than a limit, rounding aside."""
    return tap.known_m > limit.value * (1 + 1e-9)


class _Way(Struct, frozen=True):
    known_m: float
    whole: bool
    sheathed: bool
    segments: tuple[str, ...]


def taps_from(graph: SystemGraph, start: Node, region: frozenset[Node], first: Conductor | None = None) -> list[Tap]:
    """The devices at the border of a region, each with the shortest way to it from a node, along conductors.

    Args:
        graph: The system.
        start: Node of the source.
        region: Nodes that can be reached without passing an overcurrent device.
        first: If given, only ways that begin with this conductor.
    """
    best: dict[Node, _Way] = {}
    queue: list[tuple[float, int, Node, _Way]] = [(0.0, 0, start, _Way(0.0, True, True, ()))]
    taps: dict[str, Tap] = {}
    count = 0
    while queue:
        _, _, node, way = heappop(queue)
        if node in best:
            continue
        best[node] = way
        for edge, other in graph.edges_at(node):
            if first is not None and node == start and edge is not first:
                continue
            if isinstance(edge, Conductor):
                if edge.a.pole == edge.b.pole and (other in region or other == start) and other not in best:
                    count += 1
                    heappush(queue, _step(graph, way, edge, other, count))
            elif edge.kind == "device" and edge.protects:
                taps.setdefault(edge.component, _tap(graph, edge.component, way))
            elif edge.kind == "device" and other in region and other not in best:
                count += 1
                heappush(queue, (way.known_m, count, other, way))
    return [taps[device] for device in sorted(taps)]


def _step(graph: SystemGraph, way: _Way, edge: Conductor, other: Node, count: int) -> tuple[float, int, Node, _Way]:
    segment = graph.system.segments_by_id[edge.segment]
    spec = graph.system.run(edge.run).spec
    sheathed = spec.sheathed if spec.sheathed is not None else bool(graph.system.defaults.sheathed)
    length = 0.0 if is_in_a_box(graph, edge) else segment.length_m
    next_way = _Way(
        way.known_m + (length or 0.0), way.whole and length is not None, way.sheathed and sheathed,
        (*way.segments, edge.segment),
    )  # fmt: skip
    return next_way.known_m, count, other, next_way


def is_in_a_box(graph: SystemGraph, conductor: Conductor) -> bool:
    """Whether a stretch lies inside a fuse block or panel: from its bar to the device of a circuit, which it holds.

    A device ahead of the box, at the end of the run that feeds it, stands where its lengths say.
    """
    first, second = graph.component_at(conductor.a), graph.component_at(conductor.b)
    box = next((c for c in (first, second) if c.kind in IN_A_BOX), None)
    if box is None or not any(isinstance(c, Overcurrent) for c in (first, second)):
        return False
    stops = graph.system.run(conductor.run).stops
    other_end = stops[0] if stops[-1].component == box.id else stops[-1]
    return stops[0].component == box.id or graph.system.components[other_end.component].role == "load"


def _tap(graph: SystemGraph, device: str, way: _Way) -> Tap:
    component = graph.system.components[device]
    if isinstance(component, Overcurrent) and component.on_post:
        return Tap(device, 0.0, 0.0, True, way.segments)
    return Tap(device, way.known_m if way.whole else None, way.known_m, way.sheathed, way.segments)
