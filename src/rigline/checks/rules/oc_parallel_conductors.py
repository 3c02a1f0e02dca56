"""Two thin wires in place of a thick one share the current only while both are whole. When one joint loosens, the
other carries everything, behind a fuse that was chosen for two.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.standards.ampacity import Ampacity
from rigline.standards.wire import parse_wire_size
from rigline.study.causes import exceeds, protection_a
from rigline.study.study import Study

LEAST = parse_wire_size("1/0 AWG")
"""Smallest conductor that may be paralleled. Source: NEC 310.10(G)."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Runs of several thin wires whose device is too large for one of them."""
    said: set[str] = set()
    for one in study.conductors.values():
        run = study.run_of(one.conductor)
        count = run.spec.conductors
        if count < 2 or run.id in said or one.size is None or not isinstance(one.ampacity, Ampacity):
            continue
        ahead, single = (
            protection_a(study.graph, one.exposure, study.sizes.ratings, study.profile),
            one.ampacity.value_a / count,
        )
        if one.size.area_mm2 < LEAST.area_mm2 * 0.999 and exceeds(ahead, single):
            said.add(run.id)
            words = {"count": str(count), "wire": str(one.size)}
            yield Hit((run.id,), ahead, single, "A", (run.id,), one.conductor.segment, words=words)


CHECK = Check(
    slug="oc-parallel-conductors",
    title="parallel wires behind one device",
    family="overcurrent",
    severity=Severity.FAULT,
    limit=(
        "Parallel conductors are 1/0 AWG (53.5 mm²) or larger, or the device ahead is at most what one of them "
        "may have."
    ),
    exceptions="A device for each wire, drawn as separate runs.",
    sources=(Source("NEC 310.10(G)", "from memory"),),
    message=(
        "{runs} uses {count} wires of {wire} behind {found} {unit}; one of them alone may have at most {limit} {unit}."
    ),
    remedy="Run {runs} in one larger cable, or fit a fuse in each of its wires.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Heater cable of two wires
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 2 kA}
  F1: {kind: fuse, style: anl, rating: 100 A}
  WH1: {kind: dc-load, name: Water heater, power: 800 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, WH1], lengths: [100 mm, 1 m], wire: 4 AWG, conductors: 2}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="wire: 4 AWG, conductors: 2",
        failing="wire: 8 AWG, conductors: 2",
        finds=("W1",),
    ),
)
