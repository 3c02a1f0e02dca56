"""Maximum flow, against a general graph library."""

from __future__ import annotations

import math

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rigline.study.flow import maximum_flow

ARCS = st.lists(st.tuples(st.integers(0, 7), st.integers(0, 7), st.integers(0, 300)), max_size=25)
SUPPLY = st.dictionaries(st.integers(0, 6), st.integers(0, 500), max_size=4)


@settings(deadline=None, derandomize=True)
@given(ARCS, SUPPLY)
def test_the_flow_is_that_of_a_graph_library(arcs: list[tuple[int, int, int]], supply: dict[int, int]) -> None:
    graph: nx.DiGraph[object] = nx.DiGraph()
    graph.add_nodes_from(["source", 7])
    for start, end, capacity in [*arcs, *(("source", node, limit) for node, limit in supply.items())]:
        held = graph.get_edge_data(start, end, {"capacity": 0})["capacity"]
        if start != end:
            graph.add_edge(start, end, capacity=held + capacity)

    found = maximum_flow([(a, b, float(c)) for a, b, c in arcs], {n: float(a) for n, a in supply.items()}, 7)

    assert found == pytest.approx(nx.maximum_flow_value(graph, "source", 7))


def test_a_battery_without_a_fuse_on_the_way_is_unlimited() -> None:
    assert maximum_flow([("B1", "BUS1", math.inf)], {"B1": math.inf}, "BUS1") == math.inf


def test_a_fuse_limits_an_unlimited_battery() -> None:
    assert maximum_flow([("B1", "BUS1", 100.0)], {"B1": math.inf}, "BUS1") == 100


def test_what_stands_on_the_sink_itself_is_added() -> None:
    assert maximum_flow([("B1", "BUS1", 100.0)], {"B1": math.inf, "BUS1": 20.0}, "BUS1") == 120
