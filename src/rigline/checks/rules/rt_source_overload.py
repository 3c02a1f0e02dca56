"""A source that is smaller than its largest load never starts it.

A generator stalls, a converter hiccups, and the owner looks for the fault in the wiring. A stand-alone source may be
smaller than the sum of its loads, but not than the largest of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Load
from rigline.kinds.sources import Generator
from rigline.model.system import HOT_LEGS
from rigline.study.ac_reach import Feed, feeds
from rigline.study.causes import exceeds
from rigline.study.demand import leg_voltage_v, load_draw
from rigline.study.study import Study

SLUG = "rt-source-overload"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each generator with a load behind it that is larger than itself."""
    seen: set[str] = set()
    for feed in feeds(study):
        generator = study.system.components[feed.source]
        if not isinstance(generator, Generator) or feed.source in seen:
            continue
        watts = {id: power for id in sorted(feed.reached) if (power := _power_w(study, feed, id)) is not None}
        if not watts:
            continue
        seen.add(feed.source)
        largest = max(watts, key=lambda id: (watts[id], id))
        if generator.power_w is None:
            yield Missing((feed.source,), f"power of {feed.source}")
        elif exceeds(watts[largest], generator.power_w):
            words = {"load": study.system.components[largest].display}
            yield Hit(
                (feed.source, largest), generator.power_w, watts[largest], "W", words=words, mode=feed.mode_name,
                field="power",
            )  # fmt: skip


def _power_w(study: Study, feed: Feed, id: str) -> float | None:
    """Power of one load at the voltage that it gets from a source."""
    load = study.system.components[id]
    legs = {node.pole for node in feed.hot if node.component == id and node.pole in HOT_LEGS}
    if not isinstance(load, Load):
        return None
    volts = leg_voltage_v(study.system.components[feed.source], study.system) * len(legs)
    draw = load_draw(load, volts)
    return None if draw is None else draw.amps_a / load.count * volts


CHECK = Check(
    slug=SLUG,
    title="source smaller than its largest load",
    family="overcurrent",
    severity=Severity.FAULT,
    limit="A stand-alone source gives at least the power of its largest load.",
    exceptions="Inverters: sc-inverter-capacity. The sum of the loads may be larger, one after the other.",
    sources=(Source("NEC 710.15(A)", "verified"),),
    message="{at} gives {found} W, and {load} alone takes {limit} W: it stalls.",
    remedy="Fit a source of {limit} W or more for {at}, or take {load} off it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a generator and a heater
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, voltage: 120 V, neutral-bond: none, internal-breaker: 20 A, power: 2 kW}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT1: {kind: ac-load, name: Heater, power: 1800 W, continuous: false}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, ACP1], length: 2 m, wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, HT1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W3, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="power: 2 kW",
        failing="power: 1.7 kW",
        finds=("GEN1", "HT1"),
    ),
)
