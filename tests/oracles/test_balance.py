"""Laws that every solved state must keep: currents at each joint cancel, and energy is neither made nor lost.

Source: Kirchhoff's current law; conservation of energy (Tellegen's theorem). Both to 1e-9 of what is summed.
"""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from laws.strategies import Plan, plans, studied
from oracles.circuit import Circuit

from rigline.kinds.converters import DcConverter
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Node
from rigline.study.currents import Case, battery_resistance_ohm, dc_positions
from rigline.study.operating import battery_volts_v
from rigline.study.study import Study

SPECS = sorted((Path(__file__).parent.parent.parent / "specs").glob("*.yaml"))
BALANCE_FRAC = 1e-9
LEAST_A, LEAST_W = 0.1, 0.1
"""Less than this counts as this much: where next to nothing flows, the rounding of the sources' own figures is left."""


def _dc_states(found: Study) -> list[tuple[Case, Circuit]]:
    positions = dc_positions(found.graph)
    cases = [case for case in found.operating if case.kind in ("full", "end")]
    return [
        (case, Circuit(found, ("+", "-"), position.closed))
        for case, position in zip(cases, [positions[0], *positions], strict=True)
    ]


def _negative(node: Node, case: Case) -> Node:
    return node._replace(pole="-") if node.pole == "+" else node._replace(pole="+")


def left_over_frac(case: Case, circuit: Circuit) -> float:
    """Greatest current that is left over at a joint, as a share of all that flows there."""
    net: dict[str, float] = defaultdict(float)
    through: dict[str, float] = defaultdict(float)

    def flow(start: Node, end: Node, amps: float) -> None:
        for node, sign in ((start, -1), (end, 1)):
            if node in circuit.nodes:
                net[circuit.name(node)] += sign * amps
                through[circuit.name(node)] += abs(amps)

    for conductor in circuit.found.graph.conductors:
        if conductor.id in circuit.ohms:
            flow(conductor.a, conductor.b, case.amps[conductor.id])
    for node, amps in case.given_a.items():
        flow(_negative(node, case), node, amps)
    for node, amps in case.taken_a.items():
        flow(node, _negative(node, case), amps)
    return max((abs(net[name]) / max(through[name], LEAST_A) for name in net), default=0.0)


def energy_off_frac(case: Case, circuit: Circuit) -> float:
    """What sources give less what loads take and what wires and batteries lose, as a share of what is given."""
    given = lost = taken = 0.0
    for node, amps in case.given_a.items():
        component = circuit.found.graph.component_at(node)
        if isinstance(component, Battery | VehicleBattery):
            volts = battery_volts_v(component, case.kind)
            nominal = (component.voltage_v or 0.0) * getattr(component, "series", 1)
            ohm = battery_resistance_ohm(component) or max(nominal, 1.0) * 1e-4
        else:
            assert isinstance(component, DcConverter)
            volts, ohm = component.output_voltage_v or 0.0, 1e-4
        given += volts * amps
        lost += ohm * amps**2
    for conductor, ohm in circuit.ohms.items():
        lost += ohm * case.amps[conductor] ** 2
    for node, amps in case.taken_a.items():
        taken += amps * abs(case.volts[node] - case.volts[_negative(node, case)])
    return abs(given - lost - taken) / max(abs(given), LEAST_W)


def _is_whole(circuit: Circuit, case: Case) -> bool:
    """Whether every load has both its wires, so that its current has an end to come back at."""
    return all(_negative(node, case) in circuit.nodes for node in case.taken_a)


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_currents_cancel_and_energy_is_kept_in_the_demo_systems(path: Path) -> None:
    states = _dc_states(studied(path.read_text(encoding="utf-8")))

    assert states
    for case, circuit in states:
        assert _is_whole(circuit, case)
        assert left_over_frac(case, circuit) < BALANCE_FRAC
        assert energy_off_frac(case, circuit) < BALANCE_FRAC


@settings(max_examples=30, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_currents_cancel_and_energy_is_kept_in_random_systems(plan: Plan) -> None:
    for case, circuit in _dc_states(studied(plan.text())):
        assert left_over_frac(case, circuit) < BALANCE_FRAC
        assert energy_off_frac(case, circuit) < BALANCE_FRAC


@settings(max_examples=30, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_every_load_given_by_its_power_gets_its_power(plan: Plan) -> None:
    found = studied(plan.text())
    for case, _ in _dc_states(found):
        starved = {one.load for one in case.unfed}
        for node, amps in case.taken_a.items():
            component = found.system.components[node.component]
            if component.kind == "dc-load" and component.id not in starved:
                watts = amps * (case.volts[node] - case.volts[_negative(node, case)])
                assert watts == pytest.approx(component.power_w, rel=1e-9)  # type: ignore[attr-defined]
