"""What each AC source reaches in each position of the switches, and what it passes on the way."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

from rigline.graph.build import Edge
from rigline.graph.kept import kept
from rigline.graph.modes import Mode
from rigline.kinds import Component
from rigline.kinds.converters import Inverter
from rigline.kinds.devices import Breaker, Rcd
from rigline.kinds.sources import Generator
from rigline.model.system import HOT_LEGS, Conductor, Node
from rigline.study.study import Study

SHOCK_A = 0.006
"""Largest trip current of protection of a single outlet (class A, nominally 5 mA). Source: UL 943."""


class Feed(Struct, frozen=True):
    """One source in one position of the switches, with the hot nodes that it feeds."""

    source: str
    mode: Mode
    hot: frozenset[Node]

    @property
    def reached(self) -> frozenset[str]:
        """Components with a hot node that the source feeds, itself left out."""
        return frozenset(node.component for node in self.hot) - {self.source}

    @property
    def mode_name(self) -> str | None:
        """The position, if there are several."""
        return None if self.mode.everything or not self.mode.positions else self.mode.name


def feeds(study: Study, past: Callable[[Component], bool] | None = None) -> tuple[Feed, ...]:
    """Every AC source in every position with all it feeds, through all components or those that `past` accepts."""
    return _every_feed(study) if past is None else _feeds_past(study, past)


@kept
def _every_feed(study: Study) -> tuple[Feed, ...]:
    return _feeds_past(study, lambda _: True)


def _feeds_past(study: Study, past: Callable[[Component], bool]) -> tuple[Feed, ...]:
    found = (
        Feed(id, mode, _hot(study, id, mode, past)) for mode in study.modes for id in study.neutrals.possible_sources
    )
    return tuple(feed for feed in found if len(feed.hot) > 1)


def _hot(study: Study, id: str, mode: Mode, past: Callable[[Component], bool]) -> frozenset[Node]:
    def passes(edge: Edge, node: Node) -> bool:
        live = edge.a.pole in HOT_LEGS and edge.b.pole in HOT_LEGS
        if isinstance(edge, Conductor) or not live:
            return live
        return edge.kind == "device" and mode.closed(edge) and past(study.system.components[edge.component])

    found: set[Node] = set()
    for node in study.neutrals.source_nodes(id, mode):
        if node.pole in HOT_LEGS:
            found |= study.graph.reach(node, passes)
    return frozenset(found)


def is_on_board(component: Component) -> bool:
    """Whether an AC source belongs to the system itself and makes its own voltage."""
    return isinstance(component, Generator) or (isinstance(component, Inverter) and not component.grid_tied)


def residual_a(component: Component) -> float | None:
    """Rated residual current of a device that guards against leakage; None if it is no such device or doesn't say."""
    if isinstance(component, Rcd | Breaker):
        return component.residual_a
    return None


def stops_shock(component: Component) -> bool:
    """Whether a device ahead protects an outlet as well as protection in the outlet itself would (class A)."""
    trips = residual_a(component)
    own = bool(getattr(component, "gfci", None))
    return own or (trips is not None and trips <= SHOCK_A)
