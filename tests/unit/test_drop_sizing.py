"""Wires that are chosen so that a load keeps its limit over its whole way, feeder and branch together."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from laws.strategies import Plan, plans
from laws.strategies import studied as studied_plan
from reference.worked_examples import studied

from rigline.kinds.loads import Load
from rigline.study.causes import exceeds
from rigline.study.drop_sizing import load_drop_limit_frac

FEEDER_AND_BRANCH = """
components:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, short-circuit: 3 kA}
  F1: {kind: breaker, rating: 30 A}
  BUS1: {kind: busbar}
  F2: {kind: breaker, rating: 10 A}
  LD1: {kind: dc-load, current: 8 A, continuous: false, drop-class: critical}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 4 m]%s}
  - {id: W2, path: [BUS1, F2, LD1], lengths: [50 mm, 4 m]%s}
"""


def test_feeder_and_branch_together_keep_the_limit_of_the_load() -> None:
    found = studied(FEEDER_AND_BRANCH % ("", ""), "us-boat")

    assert found.load_drops["LD1"].running_frac <= 0.03
    assert [choice.collision for choice in found.sizes.choices] == ["", ""]


def test_the_chosen_branch_makes_up_for_a_given_feeder() -> None:
    found = studied(FEEDER_AND_BRANCH % (", wire: 8 AWG", ""), "us-boat")
    alone = studied(FEEDER_AND_BRANCH % (", wire: 4/0 AWG", ""), "us-boat")

    assert found.load_drops["LD1"].running_frac <= 0.03
    assert found.sizes.wires["W2"].area_mm2 > alone.sizes.wires["W2"].area_mm2
    reason = next(choice.reason for choice in found.sizes.choices if choice.subject == "W2")
    assert reason == "LD1 may lose 3.0% of the voltage on its whole way"


def test_a_feeder_that_loses_everything_by_itself_is_said_to_collide() -> None:
    found = studied(FEEDER_AND_BRANCH % (", wire: 16 AWG", ""), "us-boat")

    assert [choice.collision for choice in found.sizes.choices if choice.subject == "W2"] == [
        "LD1 may lose 3.0% of the voltage on its whole way, but loses more with the given wires alone"
    ]


@settings(max_examples=20, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_no_load_on_chosen_wires_loses_more_than_its_limit_unless_a_collision_is_named(plan: Plan) -> None:
    found = studied_plan(plan.text())
    collisions = " ".join(choice.collision for choice in found.sizes.choices)
    for id, drop in found.load_drops.items():
        load = found.system.components[id]
        assert isinstance(load, Load)
        if exceeds(drop.running_frac, load_drop_limit_frac(found.graph, found.profile, load, drop)):
            assert id in collisions


@pytest.mark.parametrize("length_m", [2, 20, 60])
def test_the_size_does_not_shrink_with_the_length(length_m: int) -> None:
    text = FEEDER_AND_BRANCH.replace("4 m", f"{length_m} m") % ("", "")
    longer = FEEDER_AND_BRANCH.replace("4 m", f"{length_m + 2} m") % ("", "")
    first, second = (studied(one, "us-boat").sizes.wires for one in (text, longer))

    assert all(second[run].area_mm2 >= first[run].area_mm2 for run in first)


def test_the_largest_wire_is_named_where_even_it_loses_too_much() -> None:
    """4/0 AWG has 0.16 ohm a km (NEC Chapter 9 Table 8): 8 A lose 0.4 V on 320 m of it, and 3 % of 12 V are 0.36 V."""
    found = studied(FEEDER_AND_BRANCH.replace("4 m]", "80 m]") % ("", ""), "us-boat")

    assert {choice.subject: choice.collision for choice in found.sizes.choices} == {
        "W1": "",
        "W2": "LD1 may lose 3.0% of the voltage on its whole way, but loses more even with 4/0 AWG",
    }
    assert {run: size.text for run, size in found.sizes.wires.items()} == {"W1": "4/0 AWG", "W2": "4/0 AWG"}


@pytest.mark.parametrize(
    ("load", "most"),
    [("motor, current: 8 A", 0.10), ("motor, current: 8 A, drop-class: general", 0.10), ("dc-load, current: 8 A", 0.10),
     ("dc-load, current: 8 A, drop-class: motor", 0.10), ("motor, current: 8 A, drop-class: critical", 0.03)],
)  # fmt: skip
def test_a_load_may_lose_what_its_class_allows(load: str, most: float) -> None:
    """ABYC E-11.4.3, from memory: critical loads 3 %, all others 10 %."""
    text = FEEDER_AND_BRANCH.replace("dc-load, current: 8 A, continuous: false, drop-class: critical", load) % ("", "")
    found = studied(text, "us-boat")
    one = found.system.components["LD1"]
    assert isinstance(one, Load)

    assert load_drop_limit_frac(found.graph, found.profile, one, found.load_drops["LD1"]) == most
