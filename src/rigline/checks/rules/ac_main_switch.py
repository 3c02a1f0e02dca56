"""One movement of one hand must make everything behind a generator dead.

Where its wires go straight to several breakers, each must be found and opened, and whoever opens three of four works
on live wire. One main at the source also is what the fire brigade looks for.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Transformer
from rigline.kinds.devices import Overcurrent, Rcd, Switch, TransferSwitch
from rigline.kinds.sources import Generator
from rigline.model.system import HOT_LEGS
from rigline.study.ac_reach import Feed, feeds
from rigline.study.study import Study

SLUG = "ac-main-switch"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each generator or transformer whose wires reach several devices with no single main ahead of them."""
    seen: set[str] = set()
    for feed in feeds(study, lambda c: not isinstance(c, Overcurrent | Switch | Rcd | TransferSwitch)):
        first = _first_devices(study, feed)
        if feed.source not in seen and _needs_main(study, feed.source) and len(first) > 1:
            seen.add(feed.source)
            yield Hit((feed.source,), words={"devices": ", ".join(first)}, mode=feed.mode_name)


def _needs_main(study: Study, id: str) -> bool:
    """Shore inlets are oc-shore-main; a portable generator is unplugged, and a built-in breaker is a main."""
    source = study.system.components[id]
    if isinstance(source, Generator):
        return source.internal_breaker_a is None and not source.portable
    return isinstance(source, Transformer)


def _first_devices(study: Study, feed: Feed) -> list[str]:
    """Devices whose terminal the source reaches before any other device; a device for each leg counts once."""
    kinds = Overcurrent | Switch | Rcd | TransferSwitch
    found: dict[str, set[str]] = {}
    for node in feed.hot:
        if isinstance(study.system.components[node.component], kinds) and node.pole in HOT_LEGS:
            found.setdefault(node.component, set()).add(node.pole)
    return sorted(found)


CHECK = Check(
    slug=SLUG,
    title="AC source without a main switch",
    family="AC",
    severity=Severity.FAULT,
    limit="One device right behind each generator or transformer opens everything that it feeds.",
    exceptions=(
        "A source with one circuit, a breaker built into it, a portable generator that is unplugged. Shore inlets: "
        "oc-shore-main."
    ),
    sources=(Source("IEC 60364-7-721, main isolating switch", "verified"),),
    message="{at} feeds {devices} side by side: nothing switches off all of it at once.",
    remedy="Fit one main breaker or switch right behind {at}, ahead of {devices}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a generator and two circuits
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 2 kW, voltage: 120 V, neutral-bond: fixed, portable: true}
  ACP1: {kind: ac-panel, rating: 60 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT1: {kind: ac-load, name: Heater, power: 700 W, continuous: false}
  QB: {kind: breaker, rating: 15 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT2: {kind: ac-load, name: Fan, power: 200 W, continuous: false}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, ACP1], length: 300 mm, wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, HT1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W3, path: [ACP1, QB, HT2], lengths: [100 mm, 3 m], wire: 14 AWG}
  - {id: W4, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W5, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing=", portable: true",
        failing=", portable: false",
        finds=("GEN1",),
    ),
)
