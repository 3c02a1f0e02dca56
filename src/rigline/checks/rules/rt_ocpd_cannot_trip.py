"""A fuse opens on a short circuit only if the short can draw enough current.

Along a thin long wire the wire itself limits the current. If a short at its far end draws hardly more than the rating,
the fuse sits there for minutes while the wire and whatever it touches get hot.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing
from rigline.findings import Severity
from rigline.model.system import Conductor, Node
from rigline.study.causes import exceeds
from rigline.study.protection import EndFlow
from rigline.study.study import Study
from rigline.study.taps import is_in_a_box

SLUG = "rt-ocpd-cannot-trip"
LEAST_TIMES = 2.0
"""Fault current over rating at which a fuse still opens within seconds. Common practice; 5 times for quick clearing."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device that a short at the far end of its circuit would not open."""
    if study.unsound:
        yield from currents_missing(study)
        return
    worst: dict[str, tuple[float, Node, Conductor]] = {}
    for exposure in study.exposures.values():
        # Inside a panel the stretch to a circuit's device is no wire that can be shorted far away.
        if is_in_a_box(study.graph, exposure.conductor):
            continue
        for end in exposure.ends:
            level = _level(study, end, exposure.other(end))
            if level is None:
                continue
            (device,) = end.feeding
            if device not in worst or level < worst[device][0]:
                worst[device] = level, exposure.other(end).node, exposure.conductor
    for device, (amps, node, conductor) in sorted(worst.items()):
        rating = study.rating_a(device)
        if rating is None:
            yield Missing((device,), f"rating of {device}")
        elif conductor.length_m is None or study.wiring.size(conductor) is None:
            yield Missing((device,), f"wire and length of {conductor.run}")
        elif exceeds(LEAST_TIMES * rating, amps):
            words = {"far": node.component, "rating": f"{rating:g}"}
            yield Hit((device,), amps, LEAST_TIMES * rating, "A", (conductor.run,), words=words, field="rating")


def _level(study: Study, end: EndFlow, far: EndFlow) -> float | None:
    """Fault current at the far end of a conductor that one device feeds; None if no battery's current gets there."""
    if len(end.feeding) != 1 or end.sources or far.node not in study.fault_levels:
        return None
    return study.fault_levels[far.node].amps_a


CHECK = Check(
    slug=SLUG,
    title="overcurrent device that a far short circuit cannot open",
    family="overcurrent",
    severity=Severity.FAULT,
    limit="A short at the far end of the circuit draws at least twice the rating (five times for quick clearing).",
    exceptions="Circuits that only self-limited sources feed.",
    sources=(
        Source("IEC 60364-4-41 and 4-43, disconnection in time", "from memory"),
        Source("twice the rating", "common practice"),
    ),
    message=(
        "A short circuit at {far} draws only {found} A, but {at} ({rating} A) needs {limit} A to open soon: the wire "
        "would "
        "stay hot meanwhile."
    ),
    remedy="Fit a smaller device for {at}, or run {runs} in a thicker wire.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A lamp at the end of a long thin wire
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 5 A}
  LT1: {kind: dc-load, name: Chart lamp, current: 0.5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 15 m], wire: 16 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="rating: 5 A",
        failing="rating: 25 A",
        finds=("F1",),
    ),
)
