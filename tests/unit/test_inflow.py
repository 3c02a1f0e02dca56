"""What can flow into each end of each way of a network, against a general graph library's maximum flow."""

from __future__ import annotations

from typing import Any

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from rigline.study.inflow import Inflow, InflowFinder, Way

PLACES = 7
BIG = 1e6
WAYS = st.lists(
    st.tuples(
        st.integers(0, PLACES - 1), st.integers(0, PLACES - 1), st.sampled_from([5.0, 10.0, 20.0, BIG]), st.booleans()
    ),
    min_size=1,
    max_size=12,
)
OWN = st.lists(st.sampled_from([0.0, 0.0, 3.0, 30.0, BIG]), min_size=PLACES, max_size=PLACES)


def _by_library(ways: list[Way], own: list[float], without: int, sink: int) -> float:
    graph: nx.DiGraph[object] = nx.DiGraph()
    graph.add_nodes_from([*range(PLACES), "source"])

    def add(start: object, end: object, amps: float) -> None:
        before = graph.edges[start, end]["capacity"] if graph.has_edge(start, end) else 0.0
        graph.add_edge(start, end, capacity=before + amps)

    for number, way in enumerate(ways):
        if number != without and way.a != way.b:
            add(way.a, way.b, way.known_a)
            if not way.one_way:
                add(way.b, way.a, way.known_a)
    for place, amps in enumerate(own):
        if amps:
            add("source", place, amps)
    return float(nx.maximum_flow_value(graph, "source", sink))


@settings(max_examples=300, deadline=None, derandomize=True)
@given(WAYS, OWN)
def test_the_flow_into_each_end_is_the_maximum_flow(
    drawn: list[tuple[int, int, float, bool]], own: list[float]
) -> None:
    ways = [Way(a, b, amps, amps, one_way, "") for a, b, amps, one_way in drawn]
    finder = InflowFinder(ways, [Inflow(amps, amps, amps > 0) for amps in own])

    for number, way in enumerate(ways):
        for place in (way.a, way.b):
            if way.a != way.b:
                assert abs(finder.end(number, place).known_a - _by_library(ways, own, number, place)) < 1e-6


@settings(max_examples=200, deadline=None, derandomize=True)
@given(WAYS)
def test_a_bridge_is_what_a_graph_library_calls_one(drawn: list[tuple[int, int, float, bool]]) -> None:
    ways = [Way(a, b, amps, amps, False, "") for a, b, amps, _ in drawn if a != b]
    finder = InflowFinder(ways, [Inflow()] * PLACES)
    single: nx.Graph[int] = nx.Graph()
    single.add_edges_from((way.a, way.b) for way in ways)
    pairs: list[frozenset[int]] = [frozenset((way.a, way.b)) for way in ways]
    listed: Any = nx.bridges(single)
    found: list[frozenset[int]] = [frozenset(pair) for pair in listed]
    bridges = {pair for pair in found if pairs.count(pair) == 1}

    assert {pairs[number] for number in range(len(ways)) if finder.is_bridge(number)} == bridges
