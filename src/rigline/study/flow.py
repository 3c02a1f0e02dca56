"""Maximum flow of a small directed graph: how much current several sources can push through several devices.

Shortest augmenting paths; a unit test compares it with a general graph library on random graphs. Kept here because a
check asks it once for each end of each conductor.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Hashable, Iterable, Mapping
from typing import TypeVar

N = TypeVar("N", bound=Hashable)
_SOURCE = object()


def maximum_flow(arcs: Iterable[tuple[N, N, float]], supply: Mapping[N, float], sink: N) -> float:
    """Greatest flow from all supplies to the sink.

    Args:
        arcs: (from, to, capacity); give two for a way that passes both directions.
        supply: What each node can be fed with; infinite is allowed.
        sink: Where the flow ends.
    """
    left: dict[object, dict[object, float]] = {}
    for start, end, capacity in arcs:
        if start != end:
            left.setdefault(start, {})[end] = left.get(start, {}).get(end, 0.0) + capacity
            left.setdefault(end, {}).setdefault(start, 0.0)
    if math.isinf(supply.get(sink, 0.0)):
        return math.inf
    total = supply.get(sink, 0.0)
    left[_SOURCE] = {node: capacity for node, capacity in supply.items() if node != sink and capacity > 0}
    while path := _augmenting_path(left, sink):
        amount = min(left[tail][head] for tail, head in path)
        if math.isinf(amount):
            return math.inf
        for tail, head in path:
            left[tail][head] -= amount
            left.setdefault(head, {})[tail] = left.get(head, {}).get(tail, 0.0) + amount
        total += amount
    return total


def _augmenting_path(left: Mapping[object, Mapping[object, float]], sink: object) -> list[tuple[object, object]]:
    before: dict[object, object] = {_SOURCE: None}
    queue: deque[object] = deque([_SOURCE])
    while queue:
        node = queue.popleft()
        if node == sink:
            return _way_back(before, node)
        for other, capacity in left.get(node, {}).items():
            if capacity > 1e-9 and other not in before:
                before[other] = node
                queue.append(other)
    return []


def _way_back(before: Mapping[object, object], node: object) -> list[tuple[object, object]]:
    path = []
    while node is not _SOURCE:
        path.append((before[node], node))
        node = before[node]
    return path
