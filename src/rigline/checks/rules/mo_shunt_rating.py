"""A shunt is a piece of resistance metal in the battery's negative, and it gets hot.

All that the main fuse lets through flows through it. Above its rating the joints unsolder, the monitor reads nonsense,
and at last the whole system loses its return.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Shunt
from rigline.kinds.sources import Battery
from rigline.study.ahead import passed_through
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "mo-shunt-rating"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each shunt rated below what the main devices let through it."""
    for id, shunt in sorted(study.system.components.items()):
        if not isinstance(shunt, Shunt) or shunt.spare:
            continue
        through = passed_through(study, id)
        worst = max(through, key=lambda one: one.amps_a, default=None)
        amps, devices = (worst.amps_a, worst.devices) if worst is not None else _mains(study)
        if amps > 0 and shunt.rating_a is None:
            yield Missing((id,), f"rating of {id}")
        elif shunt.rating_a is not None and exceeds(amps, shunt.rating_a):
            words = {"mains": ", ".join(devices) or "the sources"}
            yield Hit((id, *devices), amps, shunt.rating_a, "A", words=words, field="rating")


def _mains(study: Study) -> tuple[float, tuple[str, ...]]:
    """Sum of the devices that stand first at the batteries, for a shunt whose negative is a run of its own."""
    first = {
        device
        for exposure in study.exposures.values()
        for end in exposure.ends
        if isinstance(study.system.components[end.node.component], Battery)
        for device in exposure.other(end).devices
    }
    devices = tuple(sorted(first))
    return sum(study.rating_a(device) or 0.0 for device in devices), devices


CHECK = Check(
    slug=SLUG,
    title="shunt rated below the main device",
    family="monitoring",
    severity=Severity.DANGER,
    limit="The main device is at most the shunt's rating.",
    exceptions="Cranking, which takes less than 10 s.",
    sources=(Source("a shunt stands what the main device lets through", "common practice"),),
    message=(
        "{mains} lets {found} A through the shunt {at}, which is rated {limit} A: its joints can overheat and open "
        "the return."
    ),
    remedy="Fit a shunt rated {found} A or more for {at}, or a smaller main device.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A monitored battery with a winch
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: class-t, rating: 125 A}
  RS1: {kind: shunt, rating: 300 A}
  M1: {kind: motor, name: Winch, current: 90 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, RS1, M1], lengths: [100 mm, 0.3 m, 1 m], wire: 2 AWG}
  - {id: W2, path: [M1-, GND], carries: bond, length: 0.5 m, wire: 2 AWG}
""",
        passing="rating: 300 A",
        failing="rating: 100 A",
        finds=("RS1", "F1"),
    ),
)
