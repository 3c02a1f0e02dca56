"""Whether a short at the end of a wire makes its device open: the least fault current against the device's rating.

For the rating that a device must be able to interrupt, the greatest current counts, and `fault_current.py` adds up
sources generously. Here the least counts, so it is taken from the network itself: batteries at end of discharge behind
their resistance, copper as warm as its insulation allows, out and back on the wires that are there, rings and parallel
ways solved exactly (Thévenin's theorem). Nothing is added for the arc and for contacts.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from rigline.graph.build import SystemGraph
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import NEGATIVE, POSITIVE, Conductor, Node, Segment
from rigline.study.currents import EVERY_SWITCH_CLOSED
from rigline.study.fault_current import fault_source
from rigline.study.limits import LimitFinder
from rigline.study.operating import battery_volts_v
from rigline.study.pole_network import PoleNetwork
from rigline.study.protection import Exposure
from rigline.study.wiring import Wiring

NO_CURRENT_A = 1e-6
"""A short that draws less is fed by no battery: what is left is rounding."""
WARM_COPPER_C = 90.0
"""Temperature of the copper where the insulation's is not stated: the highest common one, so the least current. That a
least fault current is computed at the conductor's highest temperature: IEC 60909-0, from memory."""


class Clearing(Struct, frozen=True):
    """A short at the worse end of one segment, against what must open then."""

    device: str
    """The largest of the devices."""
    devices: tuple[str, ...]
    """Every device that feeds the segment; all of them must open."""
    rating_a: float
    """Their ratings together."""
    least_fault_a: float
    node: Node
    """The end at which it is least."""
    estimated: bool
    """Whether a battery's resistance was estimated from its capacity."""

    @property
    def ratio(self) -> float:
        """Least fault current over rating."""
        return self.least_fault_a / self.rating_a


class _Warm(Wiring, frozen=True):
    """The wiring with every conductor at its highest temperature."""

    limits: LimitFinder | None = None

    def _computed_ohm(self, conductor: Conductor, copper_c: float | None) -> float:
        if copper_c is None and self.limits is not None:
            copper_c = self.limits.circumstances(self.run_of(conductor)).insulation_c or WARM_COPPER_C
        return super()._computed_ohm(conductor, copper_c)


def clearings(
    graph: SystemGraph,
    wiring: Wiring,
    limits: LimitFinder,
    exposures: Mapping[str, Exposure],
    ratings: Mapping[str, float | None],
) -> dict[str, Clearing]:
    """The clearing of every DC segment that devices of known rating feed, by the segment's id.

    Left out: segments fed by a source without a device, by converters alone, or without a return wire; segments whose
    wire, length or source's resistance is not known.
    """
    warm = _Warm(wiring.system, wiring.profile, wiring.chosen, limits)
    network = PoleNetwork(graph, warm, (POSITIVE, NEGATIVE), EVERY_SWITCH_CLOSED.closed)
    estimated = _hold_batteries(network)
    points = {s.id: list(_points(graph, s)) for s in graph.system.segments if s.medium == "dc" and _known(wiring, s)}
    levels = network.short_circuits_a(sorted({pair for pairs in points.values() for pair in pairs}))
    found = {}
    for segment in graph.system.segments:
        devices = _devices(segment, exposures)
        pairs = points.get(segment.id, ())
        ends = [(levels[pair], pair[0]) for pair in pairs if levels.get(pair, 0.0) > NO_CURRENT_A]
        known = [rating for id in devices if (rating := ratings.get(id)) is not None]
        if ends and known and len(known) == len(devices):
            least, node = min(ends)
            largest = max(devices, key=lambda id: (ratings[id] or 0.0, id))
            found[segment.id] = Clearing(largest, devices, sum(known), least, node, estimated)
    return found


def _hold_batteries(network: PoleNetwork) -> bool:
    """Let every battery of known resistance hold its voltage at end of discharge; whether one was estimated."""
    estimated = False
    for id, component in sorted(network.graph.system.components.items()):
        source = fault_source(component) if isinstance(component, Battery | VehicleBattery) else None
        if source is not None and isinstance(component, Battery | VehicleBattery):
            volts = battery_volts_v(component, "end")
            network.source(Node(id, "", POSITIVE), Node(id, "", NEGATIVE), volts, source.resistance_ohm)
            estimated = estimated or source.estimated
    return estimated


def _known(wiring: Wiring, segment: Segment) -> bool:
    return all(c.length_m is not None and wiring.size(c) is not None for c in segment.conductors)


def _points(graph: SystemGraph, segment: Segment) -> Iterator[tuple[Node, Node]]:
    """Positive and negative at each end of a segment; the component's own other pole where the segment has but one."""
    for end in (0, 1):
        nodes = {c.pole: (c.a, c.b)[end] for c in segment.conductors}
        one = nodes.get(POSITIVE) or nodes.get(NEGATIVE)
        if one is None:
            continue
        near = graph.nodes_of(one.component)
        other = NEGATIVE if one.pole == POSITIVE else POSITIVE
        same = [n for n in near if n.pole == other and n.terminal == one.terminal]
        rest = [n for n in near if n.pole == other]
        back = nodes.get(other) or next(iter(same or rest), None)
        if back is not None:
            yield (one, back) if one.pole == POSITIVE else (back, one)


def _devices(segment: Segment, exposures: Mapping[str, Exposure]) -> tuple[str, ...]:
    """Devices between the sources and a segment; none if a source feeds it without one."""
    devices: set[str] = set()
    for conductor in segment.conductors:
        exposure = exposures.get(conductor.id)
        for end in exposure.ends if exposure is not None else ():
            if any(source in end.fed_by for source in end.sources):
                return ()
            devices |= set(end.feeding)
    return tuple(sorted(devices))
