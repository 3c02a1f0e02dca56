"""What each return conductor must carry, and what the devices on the hot side let come back through it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from msgspec import Struct

from rigline.graph.build import SystemGraph
from rigline.model.system import NEGATIVE, Conductor
from rigline.standards.ampacity import NoAmpacity
from rigline.standards.wire import WireSize
from rigline.study.currents import Case
from rigline.study.limits import LimitFinder
from rigline.study.loop_limit import loop_limit_a
from rigline.study.wiring import Wiring


class Return(Struct, frozen=True):
    """One return conductor with the size of its feed."""

    conductor: Conductor
    size: WireSize | None
    feed: WireSize | None
    """Size of the hot conductor of the same segment; None if the return is a run of its own."""
    carries_a: float
    """Worst current, every load on."""
    lets_through_a: float
    """What the devices on the hot side let through to what returns here; 0 if nothing limits or feeds it."""
    largest_a: float | None
    """Largest device that a wire of this size may have; None if its size or ampacity is not known."""


def returns(
    graph: SystemGraph,
    limits: LimitFinder,
    wiring: Wiring,
    cases: Sequence[Case],
    ratings: Mapping[str, float | None],
) -> list[Return]:
    """Every negative power conductor of a system whose hot pole is the positive one."""
    found = []
    for segment in graph.system.segments:
        if segment.medium != "dc":
            continue
        for conductor in segment.conductors:
            if conductor.pole == NEGATIVE:
                hot = next((c for c in segment.conductors if c is not conductor), None)
                feed = None if hot is None else wiring.size(hot)
                worst = max(
                    (abs(case.amps.get(conductor.id, 0.0)) for case in cases if case.kind != "crank"), default=0.0
                )
                let = 0.0 if hot is not None else _lets_through_a(graph, conductor, ratings)
                found.append(
                    Return(
                        conductor,
                        wiring.size(conductor),
                        feed,
                        worst,
                        let,
                        _largest_a(graph, limits, wiring, conductor),
                    )
                )
    return found


def _largest_a(graph: SystemGraph, limits: LimitFinder, wiring: Wiring, conductor: Conductor) -> float | None:
    size, run = wiring.size(conductor), graph.system.run(conductor.run)
    if size is None:
        return None
    carried = limits.ampacity_of(run, conductor, size)
    if isinstance(carried, NoAmpacity):
        return None
    return max(carried.value_a, limits.allowance_of(run, conductor, None, size, carried, {}).value_a)


def _lets_through_a(graph: SystemGraph, conductor: Conductor, ratings: Mapping[str, float | None]) -> float:
    found = loop_limit_a(graph, conductor, ratings)
    return 0.0 if math.isinf(found) else found
