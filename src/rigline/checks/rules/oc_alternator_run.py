"""The cable from an alternator ends on a battery or bus that can push far more current back into it than the
alternator gives. It needs a device where it meets the bus, sized above the alternator's output.

The alternator's own end needs none only if the machine limits itself to what the cable carries.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.kinds.loads import Motor
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "oc-alternator-run"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each alternator or turbine cable that its bus or battery can overload."""
    for said in exposed_hits(study, SLUG):
        if isinstance(said, Missing) or not _is_short_lead(study, said):
            yield said


def _is_short_lead(study: Study, hit: Hit) -> bool:
    """Whether the alternator lands on the starter's stud with a lead no longer than a stub from a source may be."""
    first = study.system.components[hit.words["end"]]
    run = study.system.run(hit.runs[0])
    sheathed = study.system.defaults.sheathed if run.spec.sheathed is None else run.spec.sheathed
    rules = study.profile
    most = rules.tap_source_sheathed_m if sheathed else rules.tap_source_bare_m
    lands = isinstance(first, Motor) and bool(first.cranking)
    return lands and most is not None and run.length_m is not None and not exceeds(run.length_m, most.value)


CHECK = Check(
    slug=SLUG,
    title="alternator cable without a device at the battery end",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "What flows into either end of the alternator's cable is at most the largest device that it may have behind it."
    ),
    exceptions=(
        "The alternator's end, if the machine limits itself to the cable's ampacity (E2); an alternator that "
        "lands on the starter's stud with a lead no longer than oc-source-distance allows."
    ),
    sources=(
        Source("ISO 13297:2020 12.3", "verified"),
        Source("ABYC E-11, self-limiting alternators", "verified"),
    ),
    message=(
        "{runs} ({wire}) to {all} can be fed with {flow} from {sources}, but may have at most {limit} {unit} "
        "ahead of it."
    ),
    remedy="Fit a device of {limit} A or less, and above 125 % of the alternator's output, where {runs} meets {end}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Alternator onto the house bus
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA,
       charge-display: true, max-charge: 120 A}
  F1: {kind: fuse, style: class-t, rating: 350 A}
  BUS1: {kind: busbar, rating: 400 A}
  F2: {kind: fuse, style: anl, rating: 175 A}
  G1: {kind: alternator, voltage: 12 V, output: 120 A, regulator: external, temperature-sensor: true, surge-clamp: true}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.8 m], wire: 2/0 AWG}
  - {id: W2, path: [BUS1, F2, G1], lengths: [100 mm, 1.5 m], wire: 2 AWG}
  - {id: W3, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 2/0 AWG}
""",
        passing="F2: {kind: fuse, style: anl, rating: 175 A}",
        failing="F2: {kind: switch, voltage: 32 V, rating: 400 A}",
        finds=("G1",),
    ),
)
