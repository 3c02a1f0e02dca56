"""What draws or gives a current that the spec does not state: it counts as nothing, so rules must say so."""

from __future__ import annotations

from collections.abc import Mapping

from rigline.graph.build import SystemGraph
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc, Inverter
from rigline.kinds.loads import Load, Monitor, Motor, Sensor
from rigline.kinds.sources import PvArray, Turning
from rigline.model.system import Node
from rigline.study import demand
from rigline.study.potentials import Potentials

_ANY_VOLTAGE_V = 12.0
"""Only whether a current can be computed is asked, not how large it is."""


def unstated_currents(graph: SystemGraph, potentials: Potentials) -> Mapping[str, str]:
    """The fact that is missing, by id, for everything that is wired; monitors and sensors take next to nothing."""
    found = {}
    for id, component in sorted(graph.system.components.items()):
        if graph.nodes_of(id):
            fact = _missing(component, potentials)
            if fact:
                found[id] = f"{fact} of {id}"
    return found


def _missing(component: Component, potentials: Potentials) -> str:
    id = component.id
    if isinstance(component, Load):
        small = isinstance(component, Monitor | Sensor) or (isinstance(component, Motor) and component.cranking)
        return "" if small or demand.load_draw(component, _ANY_VOLTAGE_V) is not None else "power or current"
    if isinstance(component, Inverter):
        return "" if component.power_w is not None else "power"
    if isinstance(component, PvArray):
        return "" if component.isc_a is not None else "short-circuit current (isc)"
    if isinstance(component, ChargeController | AcCharger | DcToDc | Turning):
        volts = potentials.between(Node(id, "out", "+"), Node(id, "out", "-")) or _ANY_VOLTAGE_V
        return "" if demand.charging_output_a(component, volts) is not None else "output"
    return ""
