"""Two chargers that aim at different voltages get in each other's way.

The one with the lower aim sees a battery that seems full and stops, while the other has just begun. The battery is
charged by one of them only, slower than it could be, and by the wrong one.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import DcConverter
from rigline.kinds.sources import Turning
from rigline.study.causes import exceeds
from rigline.study.direct_charge import net_of
from rigline.study.storage import Storage, chargers_of, storages
from rigline.study.study import Study

SLUG = "sc-multi-charger-coordination"
MOST_APART_V = 0.2
"""How far the absorption voltages of two chargers may lie apart, for each 12 V. Common practice."""
BLOCK_V = 12.5
"""Nominal voltage of one 12 V block, lead or lithium, between 12 V and 12.8 V."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bank whose chargers' absorption voltages lie far apart, and converters whose outputs are tied together."""
    yield from _tied(study)
    for storage in storages(study):
        chargers = [c for c in chargers_of(study, storage) if not isinstance(c, Turning)]
        aims = {c.id: getattr(c, "absorb_v", None) for c in chargers}
        silent = [id for id, aim in aims.items() if aim is None]
        if len(chargers) < 2:
            continue
        if silent:
            yield Missing(storage.ids, f"absorption voltage of {', '.join(silent)} (absorb)")
        yield from _judge(storage, {id: aim for id, aim in aims.items() if aim is not None})


def _tied(study: Study) -> Iterator[Hit]:
    """Converters on one output: no maker's word for it can stand in a spec, so it is advice to look it up."""
    seen: set[str] = set()
    for id, component in sorted(study.system.components.items()):
        if not isinstance(component, DcConverter) or id in seen:
            continue
        net = {node.component for node in net_of(study, id, terminal="out") if node.terminal == "out"}
        others = [one for one in sorted(net) if isinstance(study.system.components[one], DcConverter)]
        seen |= {id, *others}
        if others[1:]:
            what = f"The outputs of {' and '.join(others)} are tied together: one of them carries all until it gives up"
            fix = f"Give {' and '.join(others)} loads of their own, unless their maker says that they share"
            yield Hit(tuple(others), words={"what": what, "fix": fix})


def _judge(storage: Storage, aims_v: dict[str, float]) -> Iterator[Hit]:
    volts = storage.strings[0].volts_v
    if len(aims_v) < 2 or not volts:
        return
    low, high = min(aims_v, key=lambda id: (aims_v[id], id)), max(aims_v, key=lambda id: (aims_v[id], id))
    most = MOST_APART_V * max(1, round(volts / BLOCK_V))
    if exceeds(aims_v[high] - aims_v[low], most):
        batteries = " and ".join(storage.ids)
        apart = aims_v[high] - aims_v[low]
        what = (
            f"Of the chargers on {batteries}, {high} aims at {aims_v[high]:.4g} V and {low} at {aims_v[low]:.4g} V: "
            f"{apart:.4g} V apart, where {most:.4g} V is the most; the lower one gives up early"
        )
        words = {"what": what, "fix": f"Set the chargers of {batteries} to one absorption voltage, starting with {low}"}
        yield Hit((low, high), aims_v[high] - aims_v[low], most, "V", words=words, field="absorb")


CHECK = Check(
    slug=SLUG,
    title="chargers that aim at different voltages",
    family="sources & charging",
    severity=Severity.ADVICE,
    limit=(
        "The absorption voltages of chargers on one bank lie at most 0.2 V apart for each 12 V. Converters do not "
        "share an output."
    ),
    exceptions="Chargers that talk to each other: waive the finding with that reason.",
    sources=(Source("chargers on one bank share one setting", "common practice"),),
    message="{what}.",
    remedy="{fix}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Two DC chargers on one battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA}
  F1: {kind: fuse, style: class-t, rating: 40 A}
  DCC1: {kind: dc-charger, output: 10 A, output-voltage: 12 V, trigger: ignition, absorb: 14.4 V}
  DCC2: {kind: dc-charger, output: 10 A, output-voltage: 12 V, trigger: ignition, absorb: 14.4 V, float: 13.5 V}
  B2: {kind: battery, starting: true, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F2: {kind: fuse, style: class-t, rating: 40 A}
  BUS1: {kind: busbar, rating: 100 A}
  BUS2: {kind: busbar, rating: 100 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.4 m], wire: 6 AWG}
  - {id: W2, path: [B2, F2, BUS2], lengths: [100 mm, 0.4 m], wire: 6 AWG}
  - {id: W3, path: [BUS2, DCC1.in], length: 0.3 m, wire: 6 AWG}
  - {id: W4, path: [BUS2, DCC2.in], length: 0.3 m, wire: 6 AWG}
  - {id: W6, path: [DCC1.out, BUS1], length: 0.3 m, wire: 6 AWG}
  - {id: W7, path: [DCC2.out, BUS1], length: 0.3 m, wire: 6 AWG}
  - {id: W5, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="absorb: 14.4 V, float",
        failing="absorb: 14.8 V, float",
        finds=("DCC1", "DCC2"),
    ),
)
