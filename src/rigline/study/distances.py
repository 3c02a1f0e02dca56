"""The stubs between sources and their first overcurrent devices, with the lengths that a rule set allows them.

A short at a source's terminal must meet a device before it meets much wire. What lies between the two has no protection
at all, so rule sets limit its length, and differently for batteries and for other sources.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cached_property

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.graph.kept import kept
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.standards.profiles import Limit
from rigline.study.causes import Cause, is_judged_by_length
from rigline.study.protection import EndFlow, hot_poles
from rigline.study.study import ConductorStudy, Study
from rigline.study.taps import Tap, either_limit, is_in_a_box, source_limit, taps_from


class Stub(Struct, frozen=True):
    """The unprotected stretch between one source and one of its first devices."""

    source: str
    """The battery, or the bus or other source at which the run begins."""
    tap: Tap
    runs: tuple[str, ...]
    limit: Limit | None
    """Greatest length; None if the rule set only says 'as near as practicable'."""
    warn: Limit
    """Length from which the stub is long by common practice."""
    live: tuple[str, ...]
    """Unlimited sources that feed the device's other side through a link without a bus."""
    slug: str
    """What links the two sources by a rule of its own; empty if nothing does."""
    amps_a: float | None
    """Fault current at the source."""
    spec_length_m: float | None
    """Length of the whole run, if all of the stub lies in one run."""

    @property
    def device(self) -> str:
        """The first device."""
        return self.tap.device

    @property
    def most_m(self) -> float:
        """The limit, or the length from which it is long."""
        return (self.limit or self.warn).value

    @property
    def is_long(self) -> bool | None:
        """Whether it is longer than allowed, or than usual where nothing is fixed; None if the lengths don't tell."""
        if self.tap.known_m > self.most_m * (1 + 1e-9):
            return True
        return None if self.tap.length_m is None else False


class Stubs(Struct, frozen=True, dict=True):
    """All stubs of a system."""

    study: Study

    @cached_property
    def of_batteries(self) -> tuple[Stub, ...]:
        """From each battery without a fuse inside to each of its first devices."""
        found: list[Stub] = []
        for id, component in sorted(self.study.system.components.items()):
            node = Node(id, "", hot_poles(self.study.graph)[0])
            is_open = getattr(component, "internal_fuse_a", None) is None
            if isinstance(component, Battery | VehicleBattery) and is_open and node in self.study.graph.graph:
                found += self._from_battery(node)
        return tuple(found)

    def _from_battery(self, node: Node) -> Iterator[Stub]:
        graph = self.study.graph
        whole = frozenset(graph.reach(node, lambda edge, _: _joins(edge, node.pole)))
        others = {n for n in whole if n != node and isinstance(graph.component_at(n), Battery | VehicleBattery)}
        rules = self.study.profile
        for tap in taps_from(graph, node, whole - others):
            end = self._device_end(tap, node.component)
            beyond = self._linked(node) - {n.component for n in whole}
            live = tuple(id for id in end.fed_by if id in beyond) if end else ()
            limit = either_limit(rules.tap_battery_bare_m, rules.tap_battery_sheathed_m, tap.sheathed)
            yield self._stub(node, tap, limit, live, self._slug(node, live))

    def _linked(self, node: Node) -> set[str]:
        """What a link leads to from a battery, through devices but past no bus: beyond a bus, its branches are runs."""
        graph = self.study.graph
        reached = graph.reach(
            node,
            lambda edge, start: graph.component_at(start).role != "bus" and _joins(edge, node.pole, devices=True),
        )
        return {n.component for n in reached}

    def _slug(self, node: Node, live: tuple[str, ...]) -> str:
        """The rule of its own that a charge line from a towing vehicle has."""
        graph = self.study.graph
        vehicle = any(isinstance(self.study.system.components[id], VehicleBattery) for id in (node.component, *live))
        around = graph.reach(node, lambda edge, _: _joins(edge, node.pole, devices=True))
        plug = any(graph.component_at(n).kind == "connector" for n in around)
        return "oc-tow-charge-line" if vehicle and live and plug else ""

    @cached_property
    def of_other_sources(self) -> tuple[Stub, ...]:
        """From each bus, joint or unlimited source, where a run begins that is too thin for what feeds it."""
        return tuple(self._source_stubs())

    def _source_stubs(self) -> Iterator[Stub]:
        for one, cause in self._taps():
            end, far = cause.end, one.exposure.other(cause.end)
            for tap in taps_from(self.study.graph, end.node, far.region, first=one.conductor):
                limit = source_limit(self.study.profile, end.node.pole, tap.sheathed)
                yield self._stub(end.node, tap, limit, (), "")

    def _taps(self) -> Iterator[tuple[ConductorStudy, Cause]]:
        """Where a tap begins, with what feeds it: batteries and AC sources have rules of their own."""
        found = [(one, c) for one in self.study.conductors.values() for c in one.causes if c.exception == "E3"]
        exposed = {one.conductor.id for one, _ in found}
        for one, cause in found:
            end = cause.end
            if is_judged_by_length(self.study.graph, end) and not self._goes_on(one.conductor, end, exposed):
                yield one, cause

    def _goes_on(self, conductor: Conductor, end: EndFlow, exposed: set[str]) -> bool:
        """Whether the tap only goes on here, from a stretch before a switch or shunt."""
        graph = self.study.graph
        if graph.component_at(end.node).role != "inline":
            return False
        before = {c.id for n in graph.nodes_of(end.node.component) for c in graph.conductors_at(n)}
        return bool((before - {conductor.id}) & exposed)

    def _device_end(self, tap: Tap, source: str) -> EndFlow | None:
        """The end of the stub's last conductor that lies at the device."""
        last = self.study.system.segments_by_id[tap.segments[-1]].conductors if tap.segments else ()
        one = next((found for c in last if (found := self.study.conductors.get(c.id)) is not None), None)
        return None if one is None else next((end for end in one.exposure.ends if source not in end.sources), None)

    def _stub(self, node: Node, tap: Tap, limit: Limit | None, live: tuple[str, ...], slug: str) -> Stub:
        runs = tuple(dict.fromkeys(self._run_of(segment) for segment in tap.segments))
        level = self.study.fault_levels.get(node)
        return Stub(
            source=node.component,
            tap=tap,
            runs=runs,
            limit=limit,
            warn=self.study.profile.tap_battery_warn_m,
            live=live,
            slug=slug,
            amps_a=level.amps_a if level else None,
            spec_length_m=self.study.system.run(runs[0]).spec.length_m if len(runs) == 1 else None,
        )

    def _run_of(self, segment: str) -> str:
        return self.study.system.segments_by_id[segment].run

    def open_way(self, stub: Stub) -> tuple[str, ...]:
        """The stub's segments outside boxes: stubs that share them are one fault."""
        return tuple(segment for segment in stub.tap.segments if not self._is_inside(segment))

    def _is_inside(self, segment: str) -> bool:
        conductors = self.study.system.segments_by_id[segment].conductors
        return any(is_in_a_box(self.study.graph, conductor) for conductor in conductors)


@kept
def stubs_of(study: Study) -> Stubs:
    """All stubs of a system, found once."""
    return Stubs(study)


def is_live_from_both_ends(stub: Stub, stubs: Iterable[Stub]) -> bool | None:
    """Whether the one device of a link stands too far from this end of it; None if the lengths don't tell."""
    if not stub.live or stub.tap.length_m == 0:
        return False
    if stub.is_long is False:
        return False
    far = next((other for other in stubs if other.source in stub.live and other.device == stub.device), None)
    if stub.is_long is None:
        whole = stub.spec_length_m
        if far is not None and whole is not None and far.runs == stub.runs and whole > stub.most_m + far.most_m:
            return True
        return None
    if stub.limit is not None:
        return True
    near = far.tap.length_m if far is not None else None
    return near is not None and near < stub.tap.known_m


def _joins(edge: Edge, pole: str, devices: bool = False) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == pole == edge.b.pole
    return edge.kind == "device" and (devices or not edge.protects) and edge.a.pole == pole
