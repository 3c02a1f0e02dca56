"""What the overcurrent devices ahead of a component let through to it."""

from __future__ import annotations

import math

from msgspec import Struct

from rigline.study.causes import consumers_in
from rigline.study.protection import EndFlow, Exposure
from rigline.study.study import Study


class Ahead(Struct, frozen=True):
    """What can reach a component along one conductor."""

    conductor: str
    run: str
    amps_a: float
    """Largest current that devices and self-limited sources let through; infinite without a device."""
    loose_a: float
    """The same with devices of unknown rating passing anything."""
    devices: tuple[str, ...]
    """Devices that pass it, next to the conductor."""
    unknown: tuple[str, ...]


def ahead_of(study: Study, component: str) -> list[Ahead]:
    """What can reach a component along each hot conductor that lands on it."""
    return [
        Ahead(one.conductor.id, one.conductor.run, far.flow_a, far.flow_unknown_a, far.feeding, far.unknown)
        for one, far in _far_ends(study, component)
    ]


def passed_through(study: Study, component: str) -> list[Ahead]:
    """What can pass through a component, by the conductor it comes in on.

    Where no device stands ahead (a battery's main switch in front of its fuses), the devices right behind it limit the
    current. What neither limits is left out: it is unprotected, which is another rule.
    """
    found = []
    for one in ahead_of(study, component):
        if math.isinf(one.amps_a):
            others = [(e, far) for e, far in _far_ends(study, component) if e.conductor.id != one.conductor]
            behind = [_behind_a(study, far) for _, far in others]
            total = sum(behind) if behind else math.inf
            if math.isinf(total):
                continue
            devices = tuple(sorted({d for _, far in others for d in far.devices}))
            found.append(Ahead(one.conductor, one.run, total, total, devices, ()))
        elif one.loose_a > 0:
            found.append(one)
    return found


def _far_ends(study: Study, component: str) -> list[tuple[Exposure, EndFlow]]:
    """The far ends of the hot conductors that land on a component, by the conductors' ids."""
    ends = sorted(study.ends_at.get(component, ()), key=lambda pair: pair[0].conductor.id)
    return [(exposure, exposure.other(end)) for exposure, end in ends]


def _behind_a(study: Study, far: EndFlow) -> float:
    if consumers_in(study.graph, far.region):
        return math.inf
    known = [study.rating_a(device) for device in far.devices]
    return sum(math.inf if rating is None else rating for rating in known) if known else 0.0


def bar_section_a(study: Study, component: str) -> float:
    """What a bar's worst section may have to carry: everything that feeds it, or all that its circuits can take.

    Feeds and circuits may stand at opposite ends of the bar, so the smaller of the two sums passes one section. Where a
    feed can take current too (a battery that is charged), it counts as a circuit of the other feeds.
    """
    ways = [
        (0.0 if math.isinf(near.flow_a) else near.flow_a, _behind_a(study, near))
        for _, near in _far_ends(study, component)
    ]
    feeds, loads = [way for way in ways if way[0] > 0], [way for way in ways if way[0] == 0]
    taken = sum(out for _, out in loads)
    total = sum(into for into, _ in feeds)
    back = [min(total - into, taken + max(out, into)) for into, out in feeds]
    return max([min(total, taken), *back])
