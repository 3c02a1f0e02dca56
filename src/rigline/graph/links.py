"""The ways through a component: from terminal to terminal, and from pole to pole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.devices import InLine, Overcurrent
from rigline.model.system import HOT_LEGS, NEUTRAL, Node

PAIR_POLES = ("+", "-")


class Link(Struct, frozen=True):
    """One way through a component, between two of its nodes."""

    id: str
    component: str
    a: Node
    b: Node
    kind: str
    """device: current passes both ways; one-way: from a to b only; common: two terminals share a pole inside;
    across: from pole to pole (a battery, a load, a winding)."""
    protects: bool = False
    """An overcurrent device stands in it."""
    choice: tuple[str, str] | None = None
    """The position (of what, which) in which it is closed, if it is not always closed."""


def links_of(component: Component, nodes: frozenset[Node]) -> Iterator[Link]:
    """All ways through a component between those of its nodes that conductors reach."""
    if component.role == "inline":
        yield from _inline(component, nodes)
    elif component.role == "converter":
        yield from _converter(component, nodes)
    else:
        yield from _across(component, nodes)


def _terminals(nodes: frozenset[Node]) -> list[str]:
    return sorted({node.terminal for node in nodes})


def _inline(component: Component, nodes: frozenset[Node]) -> Iterator[Link]:
    groups: dict[str, list[str]] = {}
    for node in nodes:
        if node.terminal:
            groups.setdefault(node.pole, []).append(node.terminal)
    for pole in sorted(groups):
        for a, b in combinations(sorted(groups[pole], key=_terminal_order), 2):
            if _joined(component.kind, a, b):
                yield _device(component, a, b, pole)


def _terminal_order(name: str) -> tuple[int, str]:
    return (0 if name in ("in", "common", "out", "battery", "a") else 1), name


def _joined(kind: str, a: str, b: str) -> bool:
    hub = {"selector": "common", "transfer-switch": "out", "diode-isolator": "in"}.get(kind)
    return hub is None or hub in (a, b)


def _device(component: Component, a: str, b: str, pole: str) -> Link:
    choice = None
    interlock = component.interlock if isinstance(component, InLine) else None
    if component.kind == "transfer-switch":
        choice = (component.id, next(name for name in (a, b) if name != "out"))
    elif interlock:
        choice = (interlock, component.id)
    kind = "one-way" if component.kind == "diode-isolator" else "device"
    protects = isinstance(component, Overcurrent) or getattr(component, "overcurrent_a", None) is not None
    start, end = (b, a) if component.kind == "diode-isolator" and b == "in" else (a, b)
    return Link(
        f"{component.id}:{a}{b}{pole}", component.id, Node(component.id, start, pole), Node(component.id, end, pole),
        kind, protects, choice,
    )  # fmt: skip


_WAYS = {
    "charge-controller": (("pv", "battery"),),
    "dc-charger": (("in", "out"),),
    "dc-converter": (("in", "out"),),
    "inverter": (("ac-in", "ac-out"),),
    "inverter-charger": (("ac-in", "ac-out"), ("ac-in", "ac-out2")),
    "transformer": (),
    "autotransformer": (("primary", "secondary"),),
    "ac-charger": (),
}


def _converter(component: Component, nodes: frozenset[Node]) -> Iterator[Link]:
    for first, second in _WAYS[component.kind]:
        for pole in (*PAIR_POLES, *HOT_LEGS, NEUTRAL):
            a, b = Node(component.id, first, pole), Node(component.id, second, pole)
            if a in nodes and b in nodes:
                yield from _way(component, a, b)
    for terminal in _terminals(nodes):
        yield from _pole_to_pole(component, terminal, nodes)


def _way(component: Component, a: Node, b: Node) -> Iterator[Link]:
    id = f"{component.id}:{a.terminal}>{b.terminal}{a.pole}"
    if a.pole in PAIR_POLES:
        shared = _shared_pole(component)
        if a.pole == shared:
            yield Link(id, component.id, a, b, "common")
        return
    # Passing AC through: closed while the unit is not inverting. A winding passes at all times.
    choice = None if component.kind == "autotransformer" else (component.id, "pass")
    yield Link(id, component.id, a, b, "device", choice=choice)


def _shared_pole(component: Component) -> str:
    """The pole that input and output have in common: the negative, unless the component says otherwise."""
    if getattr(component, "isolated", None) or component.internal_common == "isolated":
        return ""
    return "+" if component.internal_common == "positive" else "-"


def _across(component: Component, nodes: frozenset[Node]) -> Iterator[Link]:
    if component.role == "earth" or component.role == "bus":
        return
    yield from _pole_to_pole(component, "", nodes)


def _pole_to_pole(component: Component, terminal: str, nodes: frozenset[Node]) -> Iterator[Link]:
    for a, b in (("+", "-"), ("L1", "N"), ("L2", "N"), ("L1", "L2")):
        first, second = Node(component.id, terminal, a), Node(component.id, terminal, b)
        if first in nodes and second in nodes:
            yield Link(f"{component.id}:{terminal}{a}{b}", component.id, first, second, "across")


def all_links(components: Mapping[str, Component], nodes: Mapping[str, frozenset[Node]]) -> tuple[Link, ...]:
    """The links of every component, in the order of their ids."""
    found = [link for id in sorted(components) for link in links_of(components[id], nodes.get(id, frozenset()))]
    return tuple(found)
