"""The positions that transfer switches, interlocks and inverters can be in, by name."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from itertools import product

from msgspec import Struct

from rigline.graph.build import Edge, SystemGraph
from rigline.graph.links import Link

MOST_MODES = 64
"""More positions than this are not enumerated; everything is then taken as closed at once, which is the safe side."""


class Mode(Struct, frozen=True, dict=True):
    """One position of every device that has positions."""

    name: str
    positions: tuple[tuple[str, str], ...]
    everything: bool = False
    """All positions at once: the safe side where there are too many to enumerate."""

    @cached_property
    def _chosen(self) -> Mapping[str, str]:
        return dict(self.positions)

    def closed(self, edge: Edge) -> bool:
        """Whether current can pass an edge in this mode."""
        if self.everything or not isinstance(edge, Link) or edge.choice is None:
            return True
        return self._chosen.get(edge.choice[0]) == edge.choice[1]

    def inverting(self, component: str) -> bool:
        """Whether an inverter feeds its output itself in this mode."""
        return self.everything or self._chosen.get(component, "inverting") == "inverting"


def modes_of(graph: SystemGraph) -> tuple[Mode, ...]:
    """Every mode, or the one in which everything is closed if there are too many."""
    options: dict[str, set[str]] = {}
    for link in graph.links:
        if link.choice is not None:
            options.setdefault(link.choice[0], set()).add(link.choice[1])
    for group, names in options.items():
        if names == {"pass"}:
            names.add("inverting")
        elif group in graph.system.components and graph.system.components[group].kind == "transfer-switch":
            names |= {"a", "b"}
    groups = sorted(options)
    count = 1
    for group in groups:
        count *= len(options[group])
    if count > MOST_MODES:
        return (Mode("all positions at once", (), everything=True),)
    combinations = product(*(sorted(options[group]) for group in groups))
    return tuple(_mode(tuple(zip(groups, chosen, strict=True))) for chosen in combinations)


def _mode(positions: tuple[tuple[str, str], ...]) -> Mode:
    words = {"pass": "passing through", "inverting": "inverting"}
    name = ", ".join(f"{group} {words.get(option, 'on ' + option)}" for group, option in positions)
    return Mode(name or "the only position", positions)
