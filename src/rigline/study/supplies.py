"""What can push current into a short: every source on the hot conductors, with its limit.

Batteries and shore supplies are unlimited. Solar arrays, most chargers, converters, inverters and alternators limit
themselves; what states otherwise (`self-limited: false`) is unlimited.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from msgspec import Struct

from rigline.graph.build import SystemGraph
from rigline.graph.modes import Mode
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc, Inverter, Transformer
from rigline.kinds.sources import AcSource, Battery, PvArray, Turning, VehicleBattery
from rigline.model.system import Node
from rigline.study import demand
from rigline.study.potentials import Potentials


class Supply(Struct, frozen=True):
    """One source on one hot node."""

    component: str
    node: Node
    limit_a: float
    """Infinite for batteries and shore supplies."""
    known: bool = True
    """False if the limit could not be computed from the spec."""


def dc_supplies(graph: SystemGraph, potentials: Potentials, hot: str) -> list[Supply]:
    """Every DC source, at its terminal in the hot pole."""
    found = []
    for id, component in sorted(graph.system.components.items()):
        for terminal, limit in _dc_limits(component, potentials):
            node = Node(id, terminal, hot)
            if node in graph.graph:
                found.append(Supply(id, node, math.inf if limit is None else limit, limit is not None))
    return found


def _dc_limits(component: Component, potentials: Potentials) -> Iterator[tuple[str, float | None]]:
    """Terminal and limit of each DC output; a limit of None is not known."""
    id = component.id
    if isinstance(component, Battery):
        yield "", math.inf if component.internal_fuse_a is None else component.internal_fuse_a * component.parallel
    elif isinstance(component, VehicleBattery):
        yield "", math.inf
    elif isinstance(component, PvArray):
        yield "", demand.array_max_current_a(component)
    elif isinstance(component, Turning):
        yield "", _limited(component, _volts(potentials, id, ""))
    elif isinstance(component, ChargeController):
        yield "battery", _limited(component, _volts(potentials, id, "battery"))
        if component.blocks_reverse is False:
            yield "pv", math.inf
    elif isinstance(component, AcCharger):
        for terminal in ("dc", "dc1", "dc2", "dc3"):
            yield terminal, _limited(component, _volts(potentials, id, terminal))
    elif isinstance(component, DcToDc):
        yield "out", _limited(component, _volts(potentials, id, "out"))
        if component.both_ways:
            yield "in", _limited(component, _volts(potentials, id, "in"))
    elif isinstance(component, Inverter) and component.charge_current_a is not None:
        yield "dc", component.charge_current_a


def _volts(potentials: Potentials, id: str, terminal: str) -> float | None:
    return potentials.between(Node(id, terminal, "+"), Node(id, terminal, "-"))


def _limited(component: Component, volts_v: float | None) -> float | None:
    if getattr(component, "self_limited", None) is False:
        return math.inf
    return demand.charging_output_a(component, volts_v)


def ac_supplies(graph: SystemGraph, mode: Mode) -> list[Supply]:
    """Every AC source that can feed its terminal in a mode, on each of its legs."""
    found = []
    for id, component in sorted(graph.system.components.items()):
        terminals = _ac_terminals(component, mode)
        for terminal in terminals:
            for leg in ("L1", "L2"):
                node = Node(id, terminal, leg)
                if node in graph.graph:
                    limit = demand.ac_source_limit_a(component, graph.system)
                    inverter = isinstance(component, Inverter)
                    found.append(
                        Supply(id, node, math.inf if limit is None else limit, limit is not None or not inverter)
                    )
    return found


def _ac_terminals(component: Component, mode: Mode) -> tuple[str, ...]:
    if isinstance(component, AcSource):
        return ("",)
    if isinstance(component, Inverter) and mode.inverting(component.id):
        return "ac-out", "ac-out2"
    # A transformer's secondary is fed by its primary; its winding does not limit a short enough to count on.
    return ("secondary",) if isinstance(component, Transformer) else ()
