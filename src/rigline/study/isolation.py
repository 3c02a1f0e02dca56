"""What a main switch turns off, and what stays live when it is open."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.graph.links import Link
from rigline.kinds import Component
from rigline.kinds.converters import DcConverter, Inverter
from rigline.kinds.devices import Breaker, Relay, Selector, Switch
from rigline.kinds.loads import Load, Monitor, Motor, Sensor
from rigline.model.system import HOT_LEGS, Conductor, Node
from rigline.study.circuits import beyond
from rigline.study.storage import Storage
from rigline.study.study import Study

LEAST_BEHIND_MAIN = 2
"""A switch with fewer consumers behind it is one circuit's own. Our own choice."""


class MainSwitch(Struct, frozen=True):
    """A switch between a bank and several of its consumers."""

    id: str
    off: frozenset[Node]
    """What is cut off from the bank when it opens."""
    consumers: tuple[Component, ...]
    """Loads and converters there."""


def opens_by_hand(component: Component) -> bool:
    """Whether somebody can open a circuit at it: a switch, a selector, a breaker or a remote cut-off."""
    if isinstance(component, Relay):
        return component.type == "cut-off"
    return isinstance(component, Switch | Selector | Breaker) or component.kind in ("connector", "transfer-switch")


def main_switches(study: Study, storage: Storage) -> tuple[MainSwitch, ...]:
    """Hand switches and remote cut-offs that part a bank from several consumers, or from an engine's starter."""
    return tuple(_mains(study, storage))


def _mains(study: Study, storage: Storage) -> Iterator[MainSwitch]:
    tops = {Node(s.top.id, "", "+") for s in storage.strings}
    for id in sorted({n.component for n in storage.net}):
        component = study.system.components[id]
        if isinstance(component, Switch | Selector) or (isinstance(component, Relay) and component.type == "cut-off"):
            for node in study.graph.nodes_of(id):
                side = beyond(study.graph, node, id) if node.pole == "+" and node.terminal else frozenset()
                users = _consumers(study, side)
                if side and not side & tops and _is_main(users):
                    yield MainSwitch(id, side, users)


def _is_main(users: tuple[Component, ...]) -> bool:
    return len(users) >= LEAST_BEHIND_MAIN or any(isinstance(c, Motor) and c.cranking for c in users)


def _consumers(study: Study, nodes: frozenset[Node]) -> tuple[Component, ...]:
    found = {n.component: study.graph.component_at(n) for n in nodes}
    return tuple(c for _, c in sorted(found.items()) if c.role in ("load", "converter"))


def always_live(study: Study, storage: Storage) -> frozenset[Node]:
    """What a bank feeds with everything open that a hand can open."""
    found: set[Node] = set()
    for string in storage.strings:
        if not string.top.disconnect:
            found |= study.graph.reach(Node(string.top.id, "", "+"), lambda edge, node: stays_closed(study, edge, node))
    return frozenset(found)


def stays_closed(study: Study, edge: Edge, node: Node) -> bool:
    """Whether current passes an edge while everything is open that a hand can open."""
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    return _passes(edge, node) and not opens_by_hand(study.system.components[edge.component])


def _passes(edge: Link, node: Node) -> bool:
    if edge.kind == "one-way":
        return edge.a == node
    return edge.kind == "device" and edge.a.pole == node.pole and edge.choice is None


class Unswitched(Struct, frozen=True):
    """What hangs on a bank, and which of it no hand can turn off."""

    users: frozenset[str]
    """Loads, inverters and converters that should go off with the main switch."""
    live: frozenset[str]
    """Those that stay live with everything open."""

    @property
    def is_whole(self) -> bool:
        """Whether nothing of it can be turned off."""
        return bool(self.users) and self.users == self.live


def unswitched(study: Study, storage: Storage) -> Unswitched:
    """What of a bank's users stays live with everything open that a hand can open."""
    live = always_live(study, storage)
    return Unswitched(_users(study, storage.net), _users(study, live))


def _users(study: Study, nodes: frozenset[Node]) -> frozenset[str]:
    found = {n.component: study.graph.component_at(n) for n in nodes}
    return frozenset(id for id, c in found.items() if goes_off_with_main(c))


def goes_off_with_main(component: Component) -> bool:
    """Whether a component belongs behind a main switch: not what keeps watch, keeps afloat, or charges."""
    if isinstance(component, Load):
        return not (component.safety or component.always_on or isinstance(component, Monitor | Sensor))
    return isinstance(component, Inverter | DcConverter)


BLOCK_WH = 1300.0
"""Banks above this, a 12 V block of 100 Ah, can't be turned off by pulling a fuse. Common practice; NEC 706 begins at
1 kWh."""


def is_large(storage: Storage) -> bool | None:
    """Whether a bank is above one common block; None if its charge or voltage is not known."""
    known = [(s.capacity_ah, s.volts_v) for s in storage.strings]
    energy = sum((ah or 0.0) * (v or 0.0) for ah, v in known)
    if energy > BLOCK_WH:
        return True
    return None if any(ah is None or v is None for ah, v in known) else False


def is_separate(study: Study, id: str) -> bool:
    """Whether something that a hand can open stands between an inverter's AC output and all that it feeds."""
    for node in study.graph.nodes_of(id):
        if node.terminal.startswith("ac-out") and node.pole in HOT_LEGS:
            live = study.graph.reach(node, lambda edge, at: stays_closed(study, edge, at))
            if any(study.graph.component_at(n).role in ("load", "converter") and n.component != id for n in live):
                return False
    return True
