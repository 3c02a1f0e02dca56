"""Batteries and strings that share a bus, and which of them have no overcurrent device of their own.

A battery with a shorted cell is fed by its neighbours. Only a device at each battery ends that; one main fuse for all
stands on the wrong side.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.graph.kept import kept
from rigline.kinds.sources import Battery
from rigline.model.system import Conductor, Node
from rigline.study.protection import hot_poles
from rigline.study.study import Study

SEPARATES = frozenset({"relay", "selector", "connector", "diode-isolator", "transfer-switch"})
"""Kinds that part two banks: what they join is a link between banks, not one bank."""


class Bank(Struct, frozen=True):
    """Batteries whose hot terminals meet on one net."""

    batteries: tuple[str, ...]
    unfused: tuple[str, ...]
    """Those that have no device between their terminal and the others."""
    strings: int
    jumpers: tuple[Conductor, ...]
    """Conductors between an unfused battery and the place where they meet."""
    devices: tuple[str, ...]
    """Devices at the border of the net."""

    def is_shared(self) -> bool:
        """Whether there is more than one string, and one of them without a device."""
        return self.strings >= 2 and bool(self.unfused)


@kept
def parallel_banks(study: Study) -> tuple[Bank, ...]:
    """Every net with batteries on it, sorted by its first battery."""
    return tuple(_banks(study))


def _banks(study: Study) -> Iterator[Bank]:
    graph, pole = study.graph, hot_poles(study.graph)[0]
    seen: set[Node] = set()
    for id, component in sorted(study.system.components.items()):
        node = Node(id, "", pole)
        if isinstance(component, Battery) and node in graph.graph and node not in seen:
            net = graph.reach(node, lambda edge, start: _joins(edge, start, study, pole))
            seen |= net
            yield _bank(study, net, pole)


def _bank(study: Study, net: set[Node], pole: str) -> Bank:
    graph = study.graph
    inside = sorted({c.id: c for n in net if isinstance(c := graph.component_at(n), Battery)}.items())
    border = [link for link in graph.links if link.protects and (link.a in net) != (link.b in net)]
    fused = {id for link in border for id in _alone(study, link.b if link.a in net else link.a, pole)}
    unfused = tuple(id for id, battery in inside if battery.internal_fuse_a is None)
    meets = len(inside) > 1 or any(graph.component_at(n).role == "bus" for n in net)
    batteries = tuple(sorted({id for id, _ in inside} | (fused if meets else set())))
    jumpers = {
        c.id: c for id in unfused for c in graph.conductors_at(Node(id, "", pole))
        if c.a in net and c.b in net and _is_jumper(study, c)
    }  # fmt: skip
    strings = [b.parallel for id in batteries if isinstance(b := study.system.components[id], Battery)]
    devices = tuple(sorted({link.component for link in border}))
    return Bank(batteries, unfused if len(batteries) > 1 else (), sum(strings), tuple(jumpers.values()), devices)


def _is_jumper(study: Study, conductor: Conductor) -> bool:
    return all(study.graph.component_at(n).role in ("storage", "bus") for n in (conductor.a, conductor.b))


def _alone(study: Study, start: Node, pole: str) -> set[str]:
    """The one battery behind a device, if nothing else is there."""
    beyond = study.graph.reach(start, lambda edge, node: _joins(edge, node, study, pole))
    found = {c.id: c for n in beyond if (c := study.graph.component_at(n)).role != "inline"}
    return set(found) if len(found) == 1 and all(isinstance(c, Battery) for c in found.values()) else set()


def _joins(edge: Edge, node: Node, study: Study, pole: str) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == pole == edge.b.pole
    component = study.system.components[edge.component]
    return edge.kind == "device" and not edge.protects and edge.a.pole == pole and component.kind not in SEPARATES
