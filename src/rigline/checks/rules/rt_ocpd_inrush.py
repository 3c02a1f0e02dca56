"""A motor takes several times its running current for the moment in which it starts.

A fuse that is chosen for the running current and made to open fast takes that moment for a fault. It opens on every
third start, and ends up replaced by one that is too large.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Breaker, Fuse
from rigline.kinds.loads import Load
from rigline.study.causes import exceeds
from rigline.study.demand import load_draw
from rigline.study.study import Study

SLUG = "rt-ocpd-inrush"
FAST_TIMES, SLOW_TIMES = 3.0, 6.0
"""Starting current over rating that fast and time-delay devices let pass for half a second. Common practice of
makers' curves."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device whose one load starts with more than it lets pass."""
    for id, circuit in study.circuits.items():
        device, rating = study.system.components[id], study.rating_a(id)
        load = study.system.components[circuit.serves[0]] if len(circuit.serves) == 1 else None
        if not isinstance(load, Load) or rating is None or load.soft_start:
            continue
        nodes = [node for node in study.graph.nodes_of(id) if node.terminal]
        volts = max((study.limits.volts_v(c) for n in nodes for c in study.graph.conductors_at(n)), default=None)
        draw = load_draw(load, volts)
        slow = (isinstance(device, Fuse) and device.slow) or (isinstance(device, Breaker) and device.style == "thermal")
        most = rating * (SLOW_TIMES if slow else FAST_TIMES)
        if draw is not None and draw.start_a is not None and exceeds(draw.start_a, most):
            yield Hit((id, load.id), draw.start_a, most, "A", words={"load": load.display, "rating": f"{rating:g}"})


CHECK = Check(
    slug=SLUG,
    title="fuse that opens when its load starts",
    family="overcurrent",
    severity=Severity.ADVICE,
    limit="Starting current up to 3 times the rating, 6 times for time-delay fuses and thermal breakers.",
    exceptions="Loads with a soft start. Loads that state no starting current are not judged.",
    sources=(Source("curves of fuses and breakers", "common practice"),),
    message="{load} starts with {found} A, and {at} of {rating} A stands about {limit} A for a moment: it will open.",
    remedy="Fit a time-delay type for {at}, or the next size that its wire allows.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A pump that starts hard
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A, slow: true}
  M1: {kind: motor, name: Pump, current: 5 A, start: 40 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 10 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="slow: true",
        failing="slow: false",
        finds=("F1", "M1"),
    ),
)
