"""A lithium battery's management system switches off without a word, and with it goes all that hangs on it.

Under way at night that means lights, radio and steering. A warning some minutes before gives time to turn loads off or
to start an engine.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Monitor
from rigline.kinds.sources import Bms
from rigline.study.storage import Storage, storages
from rigline.study.study import Study

SLUG = "mo-lithium-alarm"
LEAST_WH = 600.0
"""Energy from which the boats' lithium standard applies. Source: ABYC E-13, scope."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each lithium bank that may switch off without a warning."""
    monitors = [c for _, c in sorted(study.system.components.items()) if isinstance(c, Monitor)]
    for storage in storages(study):
        if not storage.is_lithium or all(b.bms is False for b in storage.batteries) or not _in_scope(storage):
            continue
        said = [b.bms.alarm if isinstance(b.bms, Bms) else None for b in storage.batteries]
        said += [monitor.alarm for monitor in monitors]
        if True in said:
            continue
        if None in said:
            yield Missing(storage.ids, f"whether {' or '.join(storage.ids)} warns before it switches off (bms: alarm)")
        else:
            severity = Severity.FAULT if study.profile.name == "us-boat" else Severity.ADVICE
            yield Hit(storage.ids, severity=severity, words={"all": " and ".join(storage.ids)})


def _in_scope(storage: Storage) -> bool:
    """Whether a bank is as large as the standard's scope; one that does not say so counts as large."""
    known = [(s.capacity_ah, s.volts_v) for s in storage.strings]
    return any(ah is None or v is None for ah, v in known) or sum((ah or 0) * (v or 0) for ah, v in known) >= LEAST_WH


CHECK = Check(
    slug=SLUG,
    title="lithium battery that switches off without a warning",
    family="monitoring",
    severity=Severity.FAULT,
    limit=(
        "A lithium bank of 600 Wh or more warns before its management system opens; outside United States "
        "boats this is "
        "advice."
    ),
    exceptions="Cabins, where darkness is no danger.",
    sources=(Source("ABYC E-13, alarm before shutdown", "from memory"),),
    message="{all} can switch off without a warning, and then everything on it stops at once.",
    remedy="Fit an alarm that warns before {at} switches off, from its management system or a monitor.",
    find=find,
    profiles=("us-boat", "intl-boat", "uk-inland-boat", "us-rv", "eu-caravan"),
    example=Example(
        spec="""\
rigline: 1
title: A lithium battery and its lamps
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 60 Ah, short-circuit: 800 A, bms: {alarm: true}}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="alarm: true",
        failing="alarm: false",
        finds=("B1",),
    ),
)
