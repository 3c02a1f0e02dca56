"""An inverter that is too small for its largest load switches off each time that load comes on.

It protects itself, so nothing burns; but the kettle stays cold, and electronics on the same output lose their supply
each time. What runs for hours has to fit all together, for nobody stands by to switch something off.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Receptacle
from rigline.study.causes import exceeds
from rigline.study.inverter_loads import InverterLoad, inverters, loads_of
from rigline.study.study import Study

SLUG = "sc-inverter-capacity"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inverter below its largest load, or below all that lasts."""
    for inverter in inverters(study):
        loads = loads_of(study, inverter)
        silent = [one.load.id for one in loads if one.power_w is None and not isinstance(one.load, Receptacle)]
        known = [one for one in loads if one.power_w is not None]
        if silent or (known and inverter.power_w is None):
            facts = [f"power of {id}" for id in silent] or [f"power of {inverter.id}"]
            yield Missing((inverter.id,), ", ".join(facts))
        if not known or inverter.power_w is None:
            continue
        largest = max(known, key=lambda one: (_power(one), one.load.id))
        lasting = [one for one in known if one.load.continuous]
        total = sum(_power(one) * one.load.count for one in lasting)
        if exceeds(_power(largest), inverter.power_w):
            words = {"loads": largest.load.display, "verb": "takes"}
            at = (inverter.id, largest.load.id)
            yield Hit(at, _power(largest), inverter.power_w, "W", words=words, field="power")
        elif exceeds(total, inverter.power_w):
            ids = tuple(one.load.id for one in lasting)
            words = {"loads": ", ".join(ids), "verb": "together take for hours"}
            yield Hit((inverter.id, *ids), total, inverter.power_w, "W", words=words, field="power")


def _power(one: InverterLoad) -> float:
    return one.power_w or 0.0


CHECK = Check(
    slug=SLUG,
    title="inverter below its loads",
    family="sources & charging",
    severity=Severity.FAULT,
    limit=(
        "An inverter's continuous power is at least that of its largest load, and of all its loads together that run "
        "for three hours or more."
    ),
    exceptions="Loads of short use that nobody switches on together.",
    sources=(Source("NEC 710.15(A)", "verified"),),
    message="{loads} {verb} {found} W, but {at} gives {limit} W: it switches off.",
    remedy="Use an inverter of {found} W or more for {at}, or move {loads} to another supply.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: An inverter and its kettle
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, max-discharge: 90 A}
  F1: {kind: fuse, style: class-t, rating: 90 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  INV1: {kind: inverter, power: 600 W, output: 120 V, neutral-bond: fixed, gfci: true}
  QB: {kind: breaker, rating: 15 A, voltage: 120 V, interrupting: 5 kA}
  LD1: {kind: ac-load, name: Kettle, power: 500 W, continuous: false, class-ii: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [100 mm, 0.3 m, 0.5 m], wire: 2 AWG}
  - {id: W2, path: [INV1.ac-out, QB, LD1], lengths: [0.5 m, 1 m], wire: 12 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
  - {id: W5, path: [INV1.case, GND], length: 0.5 m, carries: earth, wire: 2 AWG}
""",
        passing="power: 500 W",
        failing="power: 900 W",
        finds=("INV1", "LD1"),
    ),
)
