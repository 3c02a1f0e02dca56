"""A motor takes several times its running power for the first second, and an inverter must hold that.

If it can't, the motor hums and stands still, or the inverter trips, again and again. The figure to compare is the
inverter's power for starting, not its continuous one.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.study.causes import exceeds
from rigline.study.inverter_loads import InverterLoad, inverters, loads_of
from rigline.study.study import Study

SLUG = "sc-inverter-surge"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inverter that can't start its largest motor while what lasts is running."""
    for inverter in inverters(study):
        loads = loads_of(study, inverter)
        starting = [one for one in loads if one.start_w is not None]
        if starting:
            worst = max(starting, key=lambda one: ((one.start_w or 0.0) - (one.power_w or 0.0), one.load.id))
            rest = sum((o.power_w or 0.0) * o.load.count for o in loads if o.load.continuous and o is not worst)
            yield from _judge(inverter, worst, (worst.start_w or 0.0) + rest)


def _judge(inverter: Inverter, worst: InverterLoad, needed_w: float) -> Iterator[Hit | Missing]:
    if inverter.power_w is not None and not exceeds(needed_w, inverter.power_w):
        return
    if inverter.surge_w is None:
        yield Missing((inverter.id,), f"power of {inverter.id} for starting (surge)")
    elif exceeds(needed_w, inverter.surge_w):
        severity = Severity.ADVICE if worst.estimated else Severity.FAULT
        about = "about " if worst.estimated else ""
        words = {"load": worst.load.display, "about": about}
        at = (inverter.id, worst.load.id)
        yield Hit(at, needed_w, inverter.surge_w, "W", severity=severity, words=words, field="surge")


CHECK = Check(
    slug=SLUG,
    title="inverter that can't start its motor",
    family="sources & charging",
    severity=Severity.FAULT,
    limit=(
        "An inverter's power for starting is at least the largest motor's, with what lasts running; a motor "
        "that states "
        "none is counted with 4 times its running power, with a soft start 2 times, and is then advice."
    ),
    exceptions="none",
    sources=(Source("compressors start at 3 to 7 times their running power", "common practice"),),
    message=(
        "Starting {load} takes {about}{found} W, but {at} gives {limit} W for starting: it trips, or the motor stalls."
    ),
    remedy="Fit a soft start to {load}, or use an inverter that gives {found} W for starting instead of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: An inverter and its fridge
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, max-discharge: 90 A}
  F1: {kind: fuse, style: class-t, rating: 90 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  INV1: {kind: inverter, power: 600 W, surge: 1200 W, output: 120 V, neutral-bond: fixed, gfci: true}
  QB: {kind: breaker, rating: 15 A, voltage: 120 V, interrupting: 5 kA}
  LD1: {kind: ac-load, name: Fridge, power: 150 W, start: 1000 W, continuous: false, class-ii: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [100 mm, 0.3 m, 0.5 m], wire: 2 AWG}
  - {id: W2, path: [INV1.ac-out, QB, LD1], lengths: [0.5 m, 1 m], wire: 12 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
  - {id: W5, path: [INV1.case, GND], length: 0.5 m, carries: earth, wire: 2 AWG}
""",
        passing="surge: 1200 W",
        failing="surge: 800 W",
        finds=("INV1", "LD1"),
    ),
)
