"""The solved networks against a general circuit simulator: node voltages and currents agree to 0.1 %.

Needs the Debian package `ngspice`. In CI 40 random systems are compared; `RIGLINE_ORACLE_SYSTEMS=200` compares more.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from laws.strategies import Plan, plans, studied
from oracles.ac_plans import ac_plans
from oracles.circuit import Circuit, ac_circuits, dc_circuits

from rigline.study.currents import Case
from rigline.study.study import Study

SPECS = sorted((Path(__file__).parent.parent.parent / "specs").glob("*.yaml"))
SYSTEMS = int(os.environ.get("RIGLINE_ORACLE_SYSTEMS", "40"))
AGREE_FRAC = 1e-3
LEAST_A, LEAST_V = 1e-4, 1e-6
"""Currents and voltages below these are rounding of either side."""


def deviations(pairs: Iterable[tuple[Case, Circuit]]) -> list[tuple[float, str]]:
    """Share by which the two disagree, for the voltage across each pair of poles and the current of each conductor."""
    found = []
    for case, circuit in pairs:
        volts = circuit.solve()
        for node, mine in case.volts.items():
            for other in circuit.found.graph.nodes_of(node.component):
                if other > node and other in case.volts and circuit.hang_together(node, other):
                    pair = mine - case.volts[other], volts[node] - volts[other]
                    found.append((_apart(*pair, LEAST_V), f"{case.name}: {node} to {other} {pair}"))
        for conductor in circuit.found.graph.conductors:
            if conductor.id in circuit.ohms and conductor.a in case.volts:
                across = volts[conductor.a] - volts[conductor.b]
                amps = case.amps[conductor.id], across / circuit.ohms[conductor.id]
                # The simulator prints 15 digits of each potential, which is all it leaves of a very short wire's drop.
                blur = 1e-14 * max(abs(volts[conductor.a]), 1.0) / circuit.ohms[conductor.id]
                found.append((_apart(*amps, max(LEAST_A, 1e3 * blur)), f"{case.name}: {conductor.id} {amps}"))
    return found


def _apart(mine: float, theirs: float, least: float) -> float:
    return abs(mine - theirs) / max(abs(mine), abs(theirs), least)


def worst(found: Study) -> tuple[float, str]:
    """The greatest disagreement over all operating states."""
    return max([*deviations(dc_circuits(found)), *deviations(ac_circuits(found))], default=(0.0, "nothing"))


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_every_state_of_the_demo_systems_is_what_a_circuit_simulator_finds(path: Path) -> None:
    apart, where = worst(studied(path.read_text(encoding="utf-8")))

    assert (apart <= AGREE_FRAC, where if apart > AGREE_FRAC else "") == (True, "")


@settings(
    max_examples=SYSTEMS, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)  # fmt: skip
@given(plans())
def test_every_state_of_random_systems_is_what_a_circuit_simulator_finds(plan: Plan) -> None:
    apart, where = worst(studied(plan.text()))

    assert (apart <= AGREE_FRAC, where if apart > AGREE_FRAC else "") == (True, "")


@settings(
    max_examples=SYSTEMS, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)  # fmt: skip
@given(ac_plans())
def test_every_state_of_random_ac_systems_with_transformers_is_what_a_circuit_simulator_finds(text: str) -> None:
    apart, where = worst(studied(text))

    assert (apart <= AGREE_FRAC, where if apart > AGREE_FRAC else "") == (True, "")
