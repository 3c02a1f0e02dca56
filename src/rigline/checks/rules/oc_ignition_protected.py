"""Every contact that opens draws a spark, and petrol vapour needs no more.

Vapour and gas are heavier than air and gather where engines, tanks and bottles stand. What switches there is built so
that no flame can leave its case, or it stands elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import AcCharger, Inverter
from rigline.kinds.devices import Overcurrent, Relay, Selector, Switch
from rigline.kinds.loads import Motor
from rigline.kinds.sources import Alternator
from rigline.study.study import Study

SLUG = "oc-ignition-protected"
SPARKS = (Overcurrent, Switch, Selector, Relay, AcCharger, Inverter, Motor, Alternator)
"""Kinds with contacts or brushes."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each part that can spark in a place where vapour or gas can gather."""
    for id, component in sorted(study.system.components.items()):
        place = study.system.places.get(component.place or "")
        if place is None or not isinstance(component, SPARKS) or component.ignition_protected:
            continue
        what = "petrol vapour" if place.petrol else "gas" if place.lpg else ""
        if what and component.ignition_protected is None:
            yield Missing((id,), f"whether {id} is ignition-protected")
        elif what:
            words = {"what": what, "where": place.name or component.place or ""}
            yield Hit((id,), words=words, field="ignition-protected")


CHECK = Check(
    slug=SLUG,
    title="part that can spark among petrol vapour or gas",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="What has contacts or brushes is ignition-protected where petrol vapour or gas can gather.",
    exceptions="Diesel engines; parts 2 ft (610 mm) away in the open, which then stand in another place.",
    sources=(Source("33 CFR 183.410(b)", "verified"), Source("ISO 8846", "from memory")),
    message="{at} can spark in {where}, where {what} can gather, and is not ignition-protected.",
    remedy="Move {at} out of {where}, or fit one that is marked ignition-protected.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A blower in a petrol engine's bay
profile: us-boat
body: plastic
places:
  bay: {name: the engine bay, petrol: true}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Blower, current: 5 A, continuous: false, place: bay, ignition-protected: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="ignition-protected: true",
        failing="ignition-protected: false",
        finds=("M1",),
    ),
)
