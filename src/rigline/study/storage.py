"""Batteries as the loads see them: strings of blocks in series, and the strings that stand on one positive net.

A bank here is everything that shares current: strings joined by wires, fuses and switches. What a relay, a selector, a
diode, a plug or a normally open switch parts is another bank.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from msgspec import Struct

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.kept import kept
from rigline.kinds import Component
from rigline.kinds.converters import Inverter
from rigline.kinds.devices import Switch
from rigline.kinds.sources import Battery, Bms, Turning
from rigline.model.system import Conductor, Node
from rigline.study.banks import SEPARATES
from rigline.study.currents import Case
from rigline.study.study import Study

CHARGING_TERMINALS = {
    "charge-controller": ("battery",),
    "ac-charger": ("dc", "dc1", "dc2", "dc3"),
    "dc-charger": ("out",),
    "inverter": ("dc",),
    "inverter-charger": ("dc",),
}
"""Terminals at which a kind charges; turning machines have only one."""

USUAL_LIMIT_PER_H = {"lifepo4": 0.5, "agm": 0.3, "gel": 0.3, "flooded": 0.25}
"""Charge current over charge at the 20 h rate where the maker gives none, at the upper end of what makers allow. Common
practice."""


class Series(Struct, frozen=True):
    """Blocks in series, the one at the positive end first."""

    blocks: tuple[Battery, ...]

    @property
    def top(self) -> Battery:
        """The block whose positive is the string's."""
        return self.blocks[0]

    @property
    def volts_v(self) -> float | None:
        """Nominal voltage of the string; None if a block's is not known."""
        volts = [None if b.voltage_v is None else b.voltage_v * b.series for b in self.blocks]
        return None if None in volts else sum(v for v in volts if v is not None)

    @property
    def capacity_ah(self) -> float | None:
        """Charge of the string, strings inside a component included; None if a block's is not known."""
        charges = [charge_ah(b) for b in self.blocks]
        return None if None in charges else min(c for c in charges if c is not None)

    @property
    def count(self) -> int:
        """Blocks in series."""
        return sum(b.series for b in self.blocks)


class Storage(Struct, frozen=True, dict=True):
    """Strings that stand on one positive net."""

    strings: tuple[Series, ...]
    net: frozenset[Node]
    """Nodes of the positive net, over wires, devices and closed switches."""

    @cached_property
    def batteries(self) -> tuple[Battery, ...]:
        """All blocks, sorted by id."""
        return tuple(sorted((b for s in self.strings for b in s.blocks), key=lambda b: b.id))

    @property
    def ids(self) -> tuple[str, ...]:
        """Ids of all blocks, sorted."""
        return tuple(b.id for b in self.batteries)

    @property
    def string_count(self) -> int:
        """Strings in parallel, those inside a component included."""
        return sum(s.top.parallel for s in self.strings)

    @property
    def capacity_ah(self) -> float | None:
        """Charge of the bank; None if a block's is not known."""
        charges = [s.capacity_ah for s in self.strings]
        return None if None in charges else sum(c for c in charges if c is not None)

    @property
    def known_ah(self) -> float:
        """Charge of those strings that state one."""
        return sum(s.capacity_ah or 0.0 for s in self.strings)

    @property
    def is_lithium(self) -> bool | None:
        """Whether every block is lithium; None if a block does not say."""
        kinds = {b.chemistry for b in self.batteries}
        return None if None in kinds else kinds == {"lifepo4"}

    @property
    def is_starting(self) -> bool:
        """Whether all of it only starts engines."""
        return all(b.starting for b in self.batteries)

    def out_a(self, case: Case, graph: SystemGraph) -> float:
        """Current out of the bank in a case; negative while it is charged."""
        return sum(battery_out_a(case, graph, s.top.id) for s in self.strings)


def charge_ah(battery: Battery) -> float | None:
    """Charge of a component's strings together at the 20 h rate; None if it states neither charge nor energy."""
    own = battery.capacity_ah
    if own is None and battery.capacity_wh and battery.voltage_v:
        own = battery.capacity_wh / battery.voltage_v
    return None if own is None else own * battery.parallel


def charge_limit_a(battery: Battery) -> tuple[float | None, bool]:
    """What a battery's strings may take together while they are charged, and whether it says so itself."""
    own = battery.max_charge_a
    if own is None and isinstance(battery.bms, Bms):
        own = battery.bms.max_charge_a
    if own is not None:
        return own * battery.parallel, True
    charge = charge_ah(battery)
    if charge is None or battery.chemistry is None:
        return None, False
    return charge * USUAL_LIMIT_PER_H[battery.chemistry], False


def battery_out_a(case: Case, graph: SystemGraph, id: str) -> float:
    """Current out of a battery's positive terminal in a case."""
    node = Node(id, "", "+")
    amps = ((c, case.amps.get(c.id, 0.0)) for c in graph.conductors_at(node))
    return sum(amp if c.a == node else -amp for c, amp in amps)


@kept
def storages(study: Study) -> tuple[Storage, ...]:
    """Every bank of the system, sorted by its first battery."""
    return tuple(_storages(study))


def _storages(study: Study) -> Iterator[Storage]:
    strings = {s.top.id: s for s in series_of(study)}
    seen: set[str] = set()
    for id in sorted(strings):
        if id not in seen and study.graph.nodes_of(id):
            net = study.graph.reach(Node(id, "", "+"), lambda edge, node: shares_current(study, edge, node))
            members = sorted({n.component for n in net} & strings.keys() | {id})
            seen |= set(members)
            yield Storage(tuple(strings[m] for m in members), frozenset(net))


def shares_current(study: Study, edge: Edge, node: Node) -> bool:
    """Whether an edge keeps two nodes of one pole together: not over what parts two banks."""
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    component = study.system.components[edge.component]
    is_open = isinstance(component, Switch) and component.normally == "open"
    return edge.kind == "device" and edge.a.pole == node.pole and component.kind not in SEPARATES and not is_open


@kept
def series_of(study: Study) -> tuple[Series, ...]:
    """Every string, from the block that stands below no other."""
    batteries = {id: c for id, c in study.system.components.items() if isinstance(c, Battery)}
    below: dict[str, str] = {}
    for id in sorted(batteries):
        following = next((one for one in _below(study.graph, id) if one not in below.values()), None)
        if following is not None:
            below[id] = following
    tops = sorted(batteries.keys() - set(below.values()))
    return tuple(Series(tuple(batteries[id] for id in _chain(top, below))) for top in tops)


def _below(graph: SystemGraph, id: str) -> list[str]:
    """The blocks whose positive is joined to this one's negative."""
    start = Node(id, "", "-")
    if start not in graph.graph:
        return []
    reached = graph.reach(start, lambda edge, _: isinstance(edge, Conductor) or edge.kind == "device")
    others = (n for n in reached if n.pole == "+" and n.component != id)
    return sorted(n.component for n in others if isinstance(graph.component_at(n), Battery))


def _chain(top: str, below: dict[str, str]) -> list[str]:
    chain = [top]
    while (following := below.get(chain[-1])) is not None and following not in chain:
        chain.append(following)
    return chain


def chargers_of(study: Study, storage: Storage) -> tuple[Component, ...]:
    """What can charge a bank, over relays, selectors and diodes too, sorted by id."""
    return _chargers_on(study, tuple(string.top.id for string in storage.strings))


@kept
def _chargers_on(study: Study, tops: tuple[str, ...]) -> tuple[Component, ...]:
    found = {}
    for top in tops:
        for node in study.graph.reach(Node(top, "", "+"), _brings_charge):
            component = study.graph.component_at(node)
            if charges_at(component, node.terminal):
                found[component.id] = component
    return tuple(found[id] for id in sorted(found))


def charges_at(component: Component, terminal: str) -> bool:
    """Whether a component can charge what is joined to one of its terminals."""
    if isinstance(component, Inverter) and component.charge_current_a is None:
        return False
    return isinstance(component, Turning) or terminal in CHARGING_TERMINALS.get(component.kind, ())


def _brings_charge(edge: Edge, node: Node) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    if edge.kind == "one-way":
        return edge.a.pole == node.pole and edge.b == node
    return edge.kind == "device" and edge.a.pole == node.pole


def midpoints(study: Study) -> Iterator[tuple[Series, frozenset[Node]]]:
    """Each string of several blocks with the nodes of each of its joints."""
    for string in series_of(study):
        for lower in string.blocks[1:]:
            start = Node(lower.id, "", "+")
            yield string, frozenset(study.graph.reach(start, lambda edge, _: _is_joint(edge)))


def _is_joint(edge: Edge) -> bool:
    return isinstance(edge, Conductor) or edge.kind in ("device", "one-way")
