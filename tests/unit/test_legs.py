"""A split supply has two legs, and each circuit has those that reach it."""

from __future__ import annotations

import pytest
from model_helpers import spec, system


def poles(runs: list[str], run: str, **fields: str) -> list[str]:
    return [conductor.pole for conductor in system(spec(runs, **fields)).run(run).segments[0].conductors]


RUNS = ["id: W1, path: [INV1, ACP1]", "id: W2, path: [ACP1, Q1, AL1]"]
BOTH, ONE = ["L1", "L2", "N", "PE"], ["L1", "N", "PE"]


@pytest.mark.parametrize(
    ("output", "cores"), [("120/240 V", BOTH), ("100/200 V", BOTH), ("120 V", ONE), ("230 V", ONE)]
)
def test_a_supply_of_two_legs_feeds_a_panel_with_both(output: str, cores: list[str]) -> None:
    assert poles(RUNS, "W1", INV1=f"output: {output}") == cores


@pytest.mark.parametrize(
    ("load", "cores"),
    [("power: 1 kW", ONE), ("legs: L1", ONE), ("legs: L2", ["L2", "N", "PE"]), ("legs: both", BOTH),
     ("voltage: 120/240 V", BOTH)],
)  # fmt: skip
def test_a_circuit_has_the_legs_that_its_load_says(load: str, cores: list[str]) -> None:
    assert poles(RUNS, "W2", INV1="output: 120/240 V", AL1=load) == cores


def test_a_panel_behind_a_panel_has_both_legs_too_in_whatever_order_the_runs_stand() -> None:
    runs = ["id: W3, path: [ACP2, ACP3]", "id: W2, path: [ACP1, Q1, ACP2]", "id: W1, path: [G1, ACP1]"]
    assert [poles(order, "W3", G1="voltage: 120/240 V") for order in (runs, runs[::-1])] == [BOTH, BOTH]


def test_a_feeder_of_one_leg_does_not_bring_the_other() -> None:
    runs = ["id: W1, path: [G1, ACP1], cores: [L1, N, PE]", "id: W2, path: [ACP1, ACP2]"]
    assert poles(runs, "W2", G1="voltage: 120/240 V") == ONE


def test_a_one_pole_breaker_breaks_one_leg_and_a_two_pole_breaker_both() -> None:
    for count, broken in ((1, ["L1"]), (2, ["L1", "L2"])):
        runs = system(spec(RUNS, INV1="output: 120/240 V", AL1="legs: both", Q1=f"poles: {count}")).run("W2")
        assert [c.pole for c in runs.segments[0].conductors if c.b.terminal == "in"] == broken
