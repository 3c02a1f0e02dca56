"""What each DC overcurrent device must be able to open: the fault current that can come through it, and its voltage.

A device that is asked to open more than it can does not open: it arcs, and may burst. The current counted is that of
every battery whose fault current comes through the device from one side. Batteries behind a fuse that limits current
and is itself strong enough are left out: that fuse opens first and holds the rest back.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.graph.kept import kept
from rigline.graph.links import Link
from rigline.kinds import Component
from rigline.kinds.devices import InLine, Overcurrent
from rigline.kinds.sources import Battery, PvArray, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.standards.ratings import Typical, typical_interrupting, typical_voltage
from rigline.study.fault_current import FaultSource, fault_source
from rigline.study.protection import hot_poles
from rigline.study.sides import Marks, Sides
from rigline.study.solar import cold_v
from rigline.study.study import Study

CURRENT_LIMITING = frozenset({"class-t", "cartridge"})
"""Styles that cut a large fault current off before its first peak. Source: UL 248-8 and UL 248-15."""
LEAD_CHARGE_FRAC = 1.25
"""Highest charging voltage over nominal for lead: 15 V of 12 V. Common practice."""
LITHIUM_CHARGE_FRAC = 1.14
"""The same for lithium iron phosphate: 58.4 V of 51.2 V, which is 3.65 V of 3.2 V a cell."""


class Duty(Struct, frozen=True):
    """The fault current that one device may have to open."""

    device: Overcurrent
    node: Node
    """Its better fed side."""
    parts: tuple[tuple[str, float], ...]
    """Each battery with its share."""
    estimated: bool
    """Whether a share was estimated from a battery's capacity."""
    unknown: tuple[str, ...]
    """Batteries that say nothing to estimate from."""
    is_main: bool
    """Whether it is the first device of one of these batteries."""

    @property
    def amps_a(self) -> float:
        """All shares together."""
        return sum(amps for _, amps in self.parts)


def interrupting_a(study: Study, device: Overcurrent, node: Node) -> tuple[float | None, str]:
    """What a device can open at the nominal voltage of its circuit, and on what ground if it does not state it."""
    if device.interrupting_a is not None:
        return device.interrupting_a, ""
    volts, style = study.limits.node_volts_v(node), getattr(device, "style", None)
    typical: Typical | None = typical_interrupting(style, volts) if style and volts else None
    return (typical.value_a, f"assumed, usual for the style {style}") if typical else (None, "")


@kept
def duties(study: Study) -> tuple[Duty, ...]:
    """The duty of each DC device that a battery feeds, in the order of their ids."""
    hot = hot_poles(study.graph)[0]
    found: dict[str, list[Duty]] = {}
    for link in study.graph.links:
        device = study.system.components[link.component]
        if link.protects and link.a.pole == hot and isinstance(device, Overcurrent):
            for node in (link.a, link.b):
                found.setdefault(link.component, []).append(_duty(study, device, node))
    worst = [max(found[id], key=lambda duty: (duty.amps_a, len(duty.unknown))) for id in sorted(found)]
    return tuple(duty for duty in worst if duty.parts or duty.unknown)


def _duty(study: Study, device: Overcurrent, node: Node) -> Duty:
    sides, marks = _bringing(study)
    behind = sides.among(sides.at(node, device.id), marks)
    batteries = {
        n.component: c for n in behind if isinstance(c := study.graph.component_at(n), Battery | VehicleBattery)
    }
    sources = {id: fault_source(battery) for id, battery in sorted(batteries.items())}
    level = study.fault_levels.get(node)
    parts = tuple((id, amps) for id, amps in (level.parts if level else ()) if sources.get(id) is not None)
    known: list[FaultSource] = [source for source in sources.values() if source is not None]
    unknown = tuple(id for id, source in sources.items() if source is None)
    joined, joined_marks = _joined(study)
    is_main = joined.holds(joined.whole(node), joined_marks)
    return Duty(device, node, parts, any(source.estimated for source in known), unknown, is_main)


@kept
def _bringing(study: Study) -> tuple[Sides, Marks]:
    """Along what fault current can come to a device, and the batteries there."""
    sides = Sides(study.graph, lambda edge: _brings(study, edge))
    return sides, _batteries(sides)


@kept
def _joined(study: Study) -> tuple[Sides, Marks]:
    """What no device parts, and the batteries there."""
    sides = Sides(study.graph, _joins)
    return sides, _batteries(sides)


def _batteries(sides: Sides) -> Marks:
    return sides.marks(lambda node: isinstance(sides.graph.component_at(node), Battery | VehicleBattery))


def _brings(study: Study, edge: Edge) -> bool:
    """Whether fault current can come along an edge, and nothing on the edge limits it."""
    return _passes(edge) and (isinstance(edge, Conductor) or not _limits_current(study, edge))


def _limits_current(study: Study, link: Link) -> bool:
    component = study.system.components[link.component]
    if not isinstance(component, Overcurrent) or getattr(component, "style", None) not in CURRENT_LIMITING:
        return False
    opens, _ = interrupting_a(study, component, link.a)
    levels = [study.fault_levels[node].amps_a for node in (link.a, link.b) if node in study.fault_levels]
    return opens is not None and opens >= max(levels, default=0.0)


def _joins(edge: Edge) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == edge.b.pole
    return edge.kind == "device" and not edge.protects


class VoltageDuty(Struct, frozen=True):
    """The highest voltage that one device, switch or relay may have to hold off."""

    component: InLine
    volts_v: float | None
    """None if nothing fixes it."""
    rated_v: float | None
    """None if neither the component nor its style says it."""
    assumed: str
    """On what ground, if the component does not state it."""
    of_array: tuple[str, ...]
    """Solar arrays that set the voltage, cold."""
    missing: tuple[str, ...]
    """What is not known of them."""


def voltage_duties(study: Study) -> Iterator[VoltageDuty]:
    """The voltage across each DC device, switch, selector and relay."""
    seen: set[str] = set()
    for link in study.graph.links:
        component = study.system.components[link.component]
        known = component.kind in ("fuse", "breaker", "switch", "selector", "relay")
        if isinstance(component, InLine) and known and link.a.pole in ("+", "-") and component.id not in seen:
            seen.add(component.id)
            yield _voltage_duty(study, component, link)


def _voltage_duty(study: Study, component: InLine, link: Link) -> VoltageDuty:
    sides = _along_poles(study)
    around = _sources_in(study, sides.net(link.a))
    arrays = [c for c in around.values() if isinstance(c, PvArray)]
    volts = charging_volts_v(study, link.a, around)
    missing: tuple[str, ...] = ()
    if arrays:
        found = [cold_voc_v(study, array) for array in arrays]
        unknown = [a.id for a, v in zip(arrays, found, strict=True) if v is None]
        missing = tuple(f"voc of {id} and the coldest temperature" for id in unknown)
        volts = max([v for v in (*found, volts) if v is not None], default=None)
    rated, assumed = component.voltage_v, ""
    style = getattr(component, "style", None)
    if rated is None and style and (typical := typical_voltage(style)) is not None:
        rated, assumed = typical.value_v, f"assumed, usual for the style {style}"
    return VoltageDuty(component, volts, rated, assumed, tuple(a.id for a in arrays), missing)


@kept
def _along_poles(study: Study) -> Sides:
    return Sides(study.graph, _passes)


@kept
def _sources_in(study: Study, net: int) -> Mapping[str, Component]:
    """Batteries and arrays on a net, sorted."""
    sides = _along_poles(study)
    nodes = sorted(n for n in sides.nodes_in(net) if study.graph.component_at(n).role in ("source", "storage"))
    return {n.component: study.graph.component_at(n) for n in nodes}


def _passes(edge: Edge) -> bool:
    return edge.a.pole == edge.b.pole and (isinstance(edge, Conductor) or edge.kind in ("device", "one-way"))


def charging_volts_v(study: Study, node: Node, around: Mapping[str, Component]) -> float | None:
    """The highest voltage of a node's circuit while its batteries are charged; None if nothing fixes its voltage."""
    nominal = study.limits.node_volts_v(node)
    if nominal is None:
        return None
    chemistries = {c.chemistry for c in around.values() if isinstance(c, Battery | VehicleBattery)}
    if chemistries == {"lifepo4"}:
        return LITHIUM_CHARGE_FRAC * nominal
    return LEAD_CHARGE_FRAC * 12 * max(1, round(nominal / 12)) if nominal >= 9 else LEAD_CHARGE_FRAC * nominal


def cold_voc_v(study: Study, array: PvArray) -> float | None:
    """Open-circuit voltage of an array's strings on the coldest morning; None without its own or the temperature."""
    coldest = study.system.conditions.coldest_c
    return None if coldest is None else cold_v(array, coldest)
