"""The states a system works in: batteries full and empty, charging, each AC source, each load while it starts.

Unlike the design currents, which are safe figures for choosing wires, these are what the network settles at: a load
given by its power takes more current the lower its voltage, and a battery holds the voltage of its charge.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from rigline.graph.build import SystemGraph
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Node
from rigline.study.ac_currents import running_ac_cases, starting_ac_cases
from rigline.study.currents import Case, DcCases, Position, dc_positions, nominal_volts_v
from rigline.study.demand import LOWEST_CELL_FRAC, Draw
from rigline.study.pole_network import PoleNetwork
from rigline.study.potentials import Potentials
from rigline.study.wiring import Wiring

FULL_FRAC = {"lifepo4": 1.04, "lead": 1.06}
"""Voltage of a full battery at rest over nominal: 13.3 V of 12.8 V for lithium iron phosphate (3.33 V a cell),
12.7 V of 12 V for lead (2.12 V a cell). Common practice."""
CHARGING_FRAC = {"lifepo4": 1.14, "lead": 1.2}
"""The same at the end of charging: 14.6 V of 12.8 V (3.65 V a cell), and 14.4 V of 12 V (2.4 V a cell). Common
practice."""


def operating_cases(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> tuple[Case, ...]:
    """All loads on full batteries, on empty ones in each position of the switches, and on each AC source."""
    dc = DcCases(graph, wiring, potentials)
    positions = dc_positions(graph)
    draws = list(dc.loads())
    full = _dc_case(dc, "all loads on full batteries", "full", draws, positions[0])
    empty = [_dc_case(dc, "all loads on batteries at end of discharge", "end", draws, one) for one in positions]
    return (full, *empty, *running_ac_cases(graph, wiring, potentials))


def starting_cases(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> tuple[Case, ...]:
    """Each load that states a starting current while it starts on top of all others, batteries at end of discharge."""
    dc = DcCases(graph, wiring, potentials)
    closed, draws = dc_positions(graph)[0], list(dc.loads())
    found = [
        _dc_case(dc, f"{draw.component} starts", "end", _with_start(draws, draw, graph), closed, draw.component)
        for draw in draws
        if draw.start_a is not None
    ]
    return (*found, *starting_ac_cases(graph, wiring, potentials))


def charged_case(graph: SystemGraph, wiring: Wiring, potentials: Potentials) -> Case:
    """Every charging source at its limit on full batteries, no load on: the highest voltages."""
    dc = DcCases(graph, wiring, potentials)
    network = dc.network(dc_positions(graph)[0], lambda battery: nominal_volts_v(battery) * _share(battery, "charged"))
    for draw in dc.sources():
        amps = draw.amps_a if draw.flow == "takes" else -draw.amps_a
        network.draw(Node(draw.component, draw.terminal, "+"), Node(draw.component, draw.terminal, "-"), amps)
    return dc.solved(network, "every charging source at its limit on full batteries", "charged")


def battery_volts_v(battery: Battery | VehicleBattery, state: str) -> float:
    """Voltage that a whole bank holds when it is full, at end of discharge, or charged to the end.

    Args:
        battery: The bank.
        state: full, end or charged.
    """
    cutoff = getattr(battery, "low_cutoff_v", None)
    if state == "end" and cutoff is not None:
        return float(cutoff) * float(getattr(battery, "series", 1))
    return nominal_volts_v(battery) * _share(battery, state)


def _share(battery: Battery | VehicleBattery, state: str) -> float:
    table = {"full": FULL_FRAC, "end": LOWEST_CELL_FRAC, "charged": CHARGING_FRAC}[state]
    return table["lifepo4" if battery.chemistry == "lifepo4" else "lead"]


def _dc_case(dc: DcCases, name: str, state: str, draws: Iterable[Draw], position: Position, starting: str = "") -> Case:
    network = dc.network(position, lambda battery: battery_volts_v(battery, state))
    _add_loads(network, draws)
    full_name = ", ".join(part for part in (name, position.name) if part)
    return dc.solved(network, full_name, "start" if starting else "full" if state == "full" else "end", starting)


def _add_loads(network: PoleNetwork, draws: Iterable[Draw]) -> None:
    for draw in draws:
        positive, negative = (Node(draw.component, draw.terminal, pole) for pole in ("+", "-"))
        network.load(positive, negative, draw.amps_a, draw.power_w)


def _with_start(draws: Sequence[Draw], start: Draw, graph: SystemGraph) -> Iterator[Draw]:
    """All draws, one unit of one load at its starting current instead of its running one."""
    for draw in draws:
        if draw is not start or draw.start_a is None:
            yield draw
            continue
        count = getattr(graph.system.components[draw.component], "count", 1)
        others = (count - 1) / count
        watts = None if draw.power_w is None else draw.power_w * others
        yield replace(draw, amps_a=draw.amps_a * others, power_w=watts)
        yield replace(draw, amps_a=max(draw.start_a, draw.amps_a / count), power_w=None)
