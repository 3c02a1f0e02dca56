"""A switch that the starter's current goes through must stand it, again and again.

An engine takes hundreds of amperes while it is cranked, and no fuse stands in that circuit. Contacts that are too small
weld together, and then the switch doesn't switch off when it has to.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Relay, Selector, Switch
from rigline.study.ahead import passed_through
from rigline.study.causes import exceeds
from rigline.study.currents import Kind
from rigline.study.study import Study

SLUG = "ds-rating"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each switch, selector or relay below the cranking current, or below the loads behind it."""
    for _, component in sorted(study.system.components.items()):
        if isinstance(component, Switch | Selector | Relay) and not study.unsound:
            yield from _cranking(study, component)
            yield from _loads(study, component)


def _cranking(study: Study, device: Switch | Selector | Relay) -> Iterator[Hit | Missing]:
    needed = _through_a(study, device.id, "crank")
    least = max(device.rating_a or 0.0, device.cranking_a or 0.0)
    if not exceeds(needed, least):
        return
    if device.cranking_a is None:
        yield Missing((device.id,), f"current that {device.id} stands while an engine is cranked (cranking)")
    else:
        words = {"when": "while the engine is cranked", "which": "for cranking"}
        yield Hit((device.id,), needed, device.cranking_a, "A", words=words, field="cranking")


def _loads(study: Study, device: Switch | Selector | Relay) -> Iterator[Hit]:
    """Loads above the rating where no overcurrent device tells; where one does, it is rt-ocpd-over-passives."""
    needed = _through_a(study, device.id, "discharge")
    through = passed_through(study, device.id)
    if device.rating_a is not None and exceeds(needed, device.rating_a) and not through:
        words = {"when": "with all loads on", "which": "for long"}
        yield Hit((device.id,), needed, device.rating_a, "A", words=words, field="rating")


def _through_a(study: Study, id: str, kind: Kind) -> float:
    conductors = {c.id for node in study.graph.nodes_of(id) for c in study.graph.conductors_at(node) if c.pole in "+-"}
    cases = [case for case in study.cases if case.kind == kind]
    return max((abs(case.amps.get(c, 0.0)) for case in cases for c in conductors), default=0.0)


CHECK = Check(
    slug=SLUG,
    title="switch too small for what goes through it",
    family="disconnects",
    severity=Severity.DANGER,
    limit="A switch stands the cranking current (its cranking or continuous figure), and carries all its loads.",
    exceptions="What the fuse ahead lets through is rt-ocpd-over-passives; voltage is oc-voltage-rating.",
    sources=(Source("Boat Safety Scheme, part 3", "from memory"), Source("ABYC E-11, battery switches", "from memory")),
    message=(
        "{found} A goes through {at} {when}, and it stands {limit} A {which}: its contacts can weld and "
        "never open again."
    ),
    remedy="Use a switch for {at} that stands {found} A {which}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A starting battery and its engine
profile: us-boat
body: plastic
components:
  B1: {kind: battery, starting: true, chemistry: agm, voltage: 12 V, capacity: 90 Ah, short-circuit: 2 kA, cca: 700 A}
  Q1: {kind: switch, rating: 200 A, voltage: 32 V, cranking: 800 A}
  M1: {kind: motor, name: Starter, cranking: true, current: 150 A, start: 400 A}
  GND: {kind: chassis, name: Engine block, type: engine}
runs:
  - {id: W1, path: [B1, Q1, M1], lengths: [0.5 m, 1 m], wire: 2/0 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2/0 AWG}
""",
        passing="cranking: 800 A",
        failing="cranking: 300 A",
        finds=("Q1",),
    ),
)
