"""A main switch that nobody can reach in a hurry is no main switch.

It is needed in smoke and in the dark, by somebody who does not know where it is. Under a bed box with screws, or
behind the luggage, it might as well not be there.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Switch
from rigline.study.isolation import main_switches
from rigline.study.storage import storages
from rigline.study.study import Study

SLUG = "ds-location"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each hand-worked main switch that can't be reached at once."""
    mains = {one.id for storage in storages(study) for one in main_switches(study, storage)}
    for id in sorted(mains):
        switch = study.system.components[id]
        if not isinstance(switch, Switch):
            continue
        if switch.accessible is None:
            yield Missing((id,), f"whether {id} can be reached at once, without tools (accessible)")
        elif not switch.accessible:
            yield Hit((id,), field="accessible")


CHECK = Check(
    slug=SLUG,
    title="main switch out of reach",
    family="disconnects",
    severity=Severity.FAULT,
    limit="A main switch is readily accessible: reached at once, without tools or moving goods.",
    exceptions="A remote cut-off, whose button is what must be reached.",
    sources=(
        Source("Boat Safety Scheme, part 3", "from memory"),
        Source("ABYC E-11 and E-13", "from memory"),
        Source("NEC 706.15", "from memory"),
    ),
    message="{at} turns the system off, but it can't be reached at once: in smoke nobody finds or opens its cover.",
    remedy="Move {at} to where a hand reaches it at once, mark it, or add a remote cut-off.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A battery with its switch
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V, accessible: true}
  BUS1: {kind: busbar, rating: 100 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  LT2: {kind: dc-load, name: Reading lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, BUS1], lengths: [0.1 m, 0.5 m, 0.6 m], wire: 10 AWG}
  - {id: W2, path: [BUS1, LT1], length: 0.6 m, wire: 12 AWG}
  - {id: W3, path: [BUS1, LT2], length: 0.6 m, wire: 12 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="accessible: true",
        failing="accessible: false",
        finds=("Q1",),
    ),
)
