"""What must hold of every system: laws of circuits, of sizing and of protection, on random small systems.

Sources: Kirchhoff's and Ohm's laws; the max-flow min-cut theorem, with a general graph library as the other opinion.
"""

from __future__ import annotations

import math
from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from laws.strategies import Plan, Run, plans, studied

from rigline.model.system import Conductor
from rigline.standards.wire import standard_sizes
from rigline.study.segment_drop import drop_limit_frac
from rigline.study.sizing import needed_a
from rigline.study.study import Study

few = settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
AWG = [size.text for size in standard_sizes("awg")]


def _one_load(wire: str, length_mm: int, volts: int = 12, watts: int = 120, profile: str = "us-boat") -> Study:
    plan = Plan(
        profile,
        {
            "B1": f"kind: battery, voltage: {volts} V",
            "F1": "kind: breaker, rating: 15 A",
            "LD1": f"kind: dc-load, power: {watts} W",
        },
        {"W1": Run(("B1", "F1", "LD1"), (50, length_mm), wire)},
    )
    return studied(plan.text())


@few
@given(st.sampled_from(AWG), st.integers(0, 20_000), st.integers(0, 20_000))
def test_a_longer_wire_never_drops_less(wire: str, length_mm: int, more_mm: int) -> None:
    short, long = (_one_load(wire, length).segments[1].drop_v for length in (length_mm, length_mm + more_mm))

    assert short is not None
    assert long is not None
    assert long >= short * (1 - 1e-9)


@few
@given(st.sampled_from(range(len(AWG) - 1)), st.integers(1, 20_000), st.sampled_from(["us-boat", "us-rv", "us-cabin"]))
def test_a_thicker_wire_never_drops_more_and_never_carries_less(index: int, length_mm: int, profile: str) -> None:
    thin, thick = (_one_load(AWG[at], length_mm, profile=profile).segments[1] for at in (index, index + 1))

    assert (thick.drop_v or 0) <= (thin.drop_v or 0) * (1 + 1e-9)
    assert (thick.ampacity_a or 0) >= (thin.ampacity_a or 0)
    assert (thick.allowed_a or 0) >= (thin.allowed_a or 0)


@few
@given(st.sampled_from([12, 24]), st.integers(1, 1000), st.integers(1, 9000))
def test_twice_the_voltage_halves_the_current_and_quarters_the_share_lost(
    volts: int, watts: int, length_mm: int
) -> None:
    low, high = (_one_load("4 AWG", length_mm, v, watts).segments[1] for v in (volts, 2 * volts))

    assert high.current_a == pytest.approx((low.current_a or 0) / 2)
    assert high.drop_frac == pytest.approx((low.drop_frac or 0) / 4)


def _sizes(found: Study) -> dict[str, str]:
    return {one.segment.id: str(one.size) for one in found.segments}


def _numbers(found: Study) -> dict[str, float]:
    return {
        f"{one.segment.id} {name}": float(value)
        for one in found.segments
        for name in ("current_a", "charge_current_a", "drop_v", "ampacity_a", "allowed_a")
        if (value := getattr(one, name)) is not None
    }


def _assert_same(first: Study, second: Study) -> None:
    assert _sizes(first) == _sizes(second)
    assert _numbers(first) == pytest.approx(_numbers(second), rel=1e-6, abs=1e-6)


@few
@given(plans(), st.integers(0, 1000))
def test_the_order_of_components_and_runs_does_not_matter(plan: Plan, seed: int) -> None:
    _assert_same(studied(plan.text(order=seed)), studied(plan.text()))


@few
@given(plans(), st.integers(0, 1000))
def test_names_do_not_matter(plan: Plan, seed: int) -> None:
    ids = list(plan.components)
    names = {id: f"X{(index * 7 + seed) % 1000}-{index}" for index, id in enumerate(ids)}

    _assert_same(studied(plan.text(names=names)), studied(plan.text()))


@few
@given(plans())
def test_currents_at_every_joint_sum_to_zero(plan: Plan) -> None:
    """At the bus and at each device: everything that is neither source, load nor converter."""
    found = studied(plan.text())
    for case in found.cases:
        for id, component in found.system.components.items():
            if component.role in ("bus", "inline"):
                for pole in ("+", "-", "L1", "N"):
                    here = [
                        case.amps[c.id] * (1 if c.b.component == id else -1)
                        for c in found.graph.conductors
                        if c.id in case.amps and c.pole == pole and id in (c.a.component, c.b.component)
                    ]
                    scale = max((abs(amps) for amps in here), default=0.0)
                    assert abs(sum(here)) <= 1e-9 * max(scale, 1.0)


@few
@given(plans())
def test_every_chosen_wire_and_rating_meets_its_limits_or_a_collision_is_named(plan: Plan) -> None:
    found = studied(plan.text())
    collided = {choice.subject for choice in found.sizes.choices if choice.collision}
    for run in found.system.runs:
        if run.id in collided or run.id not in found.sizes.wires:
            continue
        lost = 0.0
        for one in found.segments:
            if one.segment.run == run.id:
                hot = [c for c in one.segment.conductors if c.id in found.conductors]
                lost += one.drop_frac or 0.0
                assert all(needed_a(found.cases, c.id)[1] <= (one.ampacity_a or 0) * (1 + 1e-9) for c in hot)
                _assert_protected(found, plan, hot, one.allowed_a or 0.0)
        assert lost <= drop_limit_frac(found.graph, found.profile, run) * (1 + 1e-9)
    for device, rating in found.sizes.ratings.items():
        if device not in collided:
            ends = [c for c in found.graph.conductors if device in (c.a.component, c.b.component)]
            assert all(needed_a(found.cases, c.id)[1] <= (rating or 0.0) * (1 + 1e-9) for c in ends)


def _assert_protected(found: Study, plan: Plan, hot: list[Conductor], allowed_a: float) -> None:
    """The flow into one end at least is held by devices: a stub to its own device may be fed by anything."""
    for conductor in hot:
        if conductor.a.pole == "+":
            flows = [_flow_into(found, conductor, end) for end in (0, 1)]
            held = [flow <= max(allowed_a, found.conductors[conductor.id].needed_a) * (1 + 1e-9) for flow in flows]
            assert any(held)


def _flow_into(found: Study, taken_out: Conductor, end: int) -> float:
    """What devices and sources let into an end, by a general graph library on a graph of components built here."""
    graph: nx.DiGraph[object] = nx.DiGraph()
    big = 1e9
    for c in found.graph.conductors:
        if c.pole == "+" and c is not taken_out:
            for a, b in ((c.a, c.b), (c.b, c.a)):
                graph.add_edge(tuple(a), tuple(b), capacity=big)
    for id, rating in found.sizes.ratings.items():
        for start, end_name in (("in", "out"), ("out", "in")):
            graph.add_edge((id, start, "+"), (id, end_name, "+"), capacity=big if rating is None else rating)
    limits = {"battery": big}
    for id, component in found.system.components.items():
        for terminal, amps in _supplies(component.kind, component, limits):
            graph.add_edge("source", (id, terminal, "+"), capacity=amps)
    sink = tuple((taken_out.a, taken_out.b)[end])
    if sink not in graph or "source" not in graph:
        return 0.0
    flow = float(nx.maximum_flow_value(graph, "source", sink))
    return math.inf if flow >= big else flow


def _supplies(kind: str, component: object, limits: dict[str, float]) -> list[tuple[str, float]]:
    if kind == "battery":
        return [("", limits["battery"])]
    if kind == "pv-array":
        return [("", 1.25 * float(component.isc_a))]  # type: ignore[attr-defined]
    if kind == "charge-controller":
        return [("battery", float(component.output_a))]  # type: ignore[attr-defined]
    return [("out", float(component.output_a))] if kind == "dc-converter" else []  # type: ignore[attr-defined]


@few
@given(plans(), st.data())
def test_without_one_of_its_devices_a_system_has_a_cause_or_the_wire_is_held_by_another(
    plan: Plan, data: st.DataObject
) -> None:
    whole = studied(plan.text())
    ratings = {id: rating for id, rating in whole.sizes.ratings.items() if rating is not None}
    wires = {id: size.text for id, size in whole.sizes.wires.items()}
    written = plan.with_wires(wires, ratings)
    device = data.draw(st.sampled_from(plan.devices))

    found = studied(written.without(device).text())

    exposed = {id for id, one in found.conductors.items() if one.conductor.a.pole == "+" and _is_exposed(found, id)}
    causes = {id: one.cause for id, one in found.conductors.items() if one.cause is not None}
    assert exposed - set(causes) == set()
    run = next(id for id, run in plan.runs.items() if device in run.path)
    here = {causes[id].exception for id in exposed if found.conductors[id].conductor.run == run}
    ends_in_devices = plan.runs[run].path[-1] == "BUS1" and device == "F1"
    assert not here or "" in here or ends_in_devices


def _is_exposed(found: Study, id: str) -> bool:
    """Whether more can flow into one end than the conductor may have behind a device, and than it carries."""
    one = found.conductors[id]
    if one.limits is None:
        return False
    most = max(one.limits.allowed_a, one.limits.ampacity_a) * (1 + 1e-9)
    return any(_flow_into(found, one.conductor, end) > most for end in (0, 1))


@few
@given(plans())
def test_a_sound_system_has_no_cause_without_exception(plan: Plan) -> None:
    found = studied(plan.text())
    if not any(choice.collision for choice in found.sizes.choices):
        faults = {id: one.cause.slug for id, one in found.conductors.items() if one.cause and not one.cause.exception}

        assert faults == {}


@few
@given(plans())
def test_writing_the_chosen_sizes_down_changes_nothing(plan: Plan) -> None:
    found = studied(plan.text())
    ratings = {id: rating for id, rating in found.sizes.ratings.items() if rating is not None}
    again = studied(plan.with_wires({id: size.text for id, size in found.sizes.wires.items()}, ratings).text())

    assert again.sizes.wires == {}
    assert again.sizes.ratings == found.sizes.ratings
    _assert_same(again, found)


def test_replacing_every_number_keeps_the_plan() -> None:
    """The helper that writes sizes down keeps given wires."""
    plan = Plan("us-boat", {}, {"W1": Run(("A", "B"), (1,), "4 AWG"), "W2": Run(("A", "B"), (1,))})

    written = plan.with_wires({"W1": "2 AWG", "W2": "6 AWG"}, {})

    assert [run.wire for run in written.runs.values()] == ["4 AWG", "6 AWG"]
    assert replace(written, runs={}) == replace(plan, runs={})
