"""One lithium battery is one switch that may open on its own, with everything that keeps you safe behind it.

Lead fades slowly and lets lights glow on. A lithium battery is there or it isn't. Navigation lights, steering and radio
deserve a second battery that takes over.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.build import Edge
from rigline.kinds.converters import AcCharger
from rigline.kinds.loads import Load, Motor
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.system import Conductor, Node
from rigline.study.storage import Storage, chargers_of, storages
from rigline.study.study import Study

SLUG = "mo-critical-single-battery"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load that lives depend on and that one lithium battery alone feeds."""
    found: dict[str, list[str]] = {}
    for id, load in sorted(study.system.components.items()):
        if isinstance(load, Load) and (load.safety or (isinstance(load, Motor) and load.steering)):
            batteries = _batteries(study, id)
            only = batteries[0] if len(batteries) == 1 else None
            if isinstance(only, Battery) and only.chemistry == "lifepo4" and only.parallel == 1:
                found.setdefault(only.id, []).append(id)
    for battery, loads in found.items():
        what = f"{' and '.join(loads)} hangs on {battery} alone: when its management system opens, it stops unwarned"
        fix = f"Give {' and '.join(loads)} a second source beside {battery}, such as a diode from the starting battery"
        yield Hit((battery, *loads), words={"what": what, "fix": fix})
    yield from _shore_only(study, frozenset(found))


def _shore_only(study: Study, told: frozenset[str]) -> Iterator[Hit]:
    """Each bank with loads that only shore charges, while another bank is charged under way."""
    banks = [(bank, chargers_of(study, bank)) for bank in storages(study)]
    moving = [bank for bank, chargers in banks if any(not isinstance(c, AcCharger) for c in chargers)]
    for bank, chargers in banks if moving else ():
        loads = _loads(study, bank)
        if not chargers or bank in moving or not loads or told & {*bank.ids}:
            continue
        names = " and ".join(c.id for c in chargers)
        what = (
            f"Only {names} charges {' and '.join(bank.ids)}, from shore or generator: away from there, "
            f"{', '.join(loads)} run it flat"
        )
        fix = f"Charge {bank.ids[0]} under way too, as {moving[0].ids[0]} is: by a DC charger, a relay or solar"
        yield Hit(bank.ids, words={"what": what, "fix": fix})


def _loads(study: Study, bank: Storage) -> list[str]:
    ids = {n.component for string in bank.strings for n in study.graph.reach(Node(string.top.id, "", "+"), _passes)}
    return sorted(id for id in ids if isinstance(study.system.components[id], Load))


def _batteries(study: Study, load: str) -> list[Battery | VehicleBattery]:
    nodes = {n for start in study.graph.nodes_of(load) if start.pole == "+" for n in study.graph.reach(start, _passes)}
    found = {c.id: c for n in nodes if isinstance(c := study.graph.component_at(n), Battery | VehicleBattery)}
    return [found[id] for id in sorted(found)]


def _passes(edge: Edge, node: Node) -> bool:
    if isinstance(edge, Conductor):
        return edge.a.pole == node.pole == edge.b.pole
    return edge.kind in ("device", "one-way") and edge.a.pole == node.pole


CHECK = Check(
    slug=SLUG,
    title="loads on one battery that may fail them",
    family="monitoring",
    severity=Severity.ADVICE,
    limit=(
        "Loads that lives depend on (safety, steering) have another source than one lithium battery. Where one bank is "
        "charged under way, so is every bank with loads."
    ),
    exceptions="none",
    sources=(
        Source("ABYC E-13, alternative supply", "from memory"),
        Source("each bank with loads is charged under way", "common practice"),
    ),
    message="{what}.",
    remedy="{fix}.",
    find=find,
    profiles=("us-boat", "intl-boat", "uk-inland-boat"),
    example=Example(
        spec="""\
rigline: 1
title: Running lights on lithium
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 40 Ah, short-circuit: 800 A, bms: true}
  F1: {kind: fuse, style: class-t, rating: 20 A}
  LT1: {kind: dc-load, name: Running lights, current: 2 A, continuous: true, safety: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 1 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="safety: false",
        failing="safety: true",
        finds=("B1", "LT1"),
    ),
)
