"""Blocks in series must add up to a voltage that chargers and loads are made for.

Three six volt blocks are 18 V: a 12 V charger never fills them and a 24 V one boils them. A block too few or too many
in the drawing shows as such a sum, before it shows on the bench.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.potentials import SAME_VOLTAGE_FRAC
from rigline.study.storage import series_of
from rigline.study.study import Study

SLUG = "bb-series-arithmetic"
USUAL_V = (6.0, 12.0, 24.0, 32.0, 36.0, 48.0)
"""Nominal voltages that chargers and loads are made for. Common practice."""
MOST_JUDGED_V = 60.0
"""Above this a bank is made for one device of its own. Our own choice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each string whose blocks add up to no usual voltage."""
    for string in series_of(study):
        volts, ids = string.volts_v, tuple(sorted(b.id for b in string.blocks))
        if string.count < 2:
            continue
        if volts is None:
            yield Missing(ids, "voltage of " + ", ".join(b.id for b in string.blocks if b.voltage_v is None))
        elif volts <= MOST_JUDGED_V and not any(abs(volts - one) <= SAME_VOLTAGE_FRAC * one for one in USUAL_V):
            nearest = min(USUAL_V, key=lambda one: abs(one - volts))
            yield Hit(ids, volts, nearest, "V", words={"count": str(string.count)})


CHECK = Check(
    slug=SLUG,
    title="string that adds up to no usual voltage",
    family="battery bank",
    severity=Severity.DANGER,
    limit="The blocks of a string add up to 6, 12, 24, 32, 36 or 48 V within 15 %.",
    exceptions="Strings above 60 V, which are made for one device.",
    sources=(Source("voltages in series add up", "common practice"),),
    message=(
        "The {count} blocks of {all} add up to {found} V; the nearest usual voltage is {limit} V. A charger "
        "for another "
        "voltage boils them or never fills them."
    ),
    remedy="Correct the number or the voltage of the blocks of {all}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Blocks in series
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 6 V, capacity: 60 Ah, short-circuit: 800 A, series: 2}
  F1: {kind: fuse, style: class-t, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 1 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="series: 2",
        failing="series: 3",
        finds=("B1",),
    ),
)
