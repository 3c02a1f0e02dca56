"""In a vehicle or boat everything shakes, and only stranded copper lasts.

Solid wire breaks at its clamps. Aluminium creeps out from under a screw and corrodes against copper; copper-clad
aluminium sold as battery cable carries a third less than its size promises.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import Run
from rigline.study.study import Study

SLUG = "cd-material"
CABINS = frozenset({"us-cabin", "iec-cabin"})
MATERIALS = {"aluminium": "aluminium", "copper-clad": "copper-clad aluminium"}


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each power run that is stated to be solid or of another metal where only stranded copper may be."""
    for run in study.system.runs:
        what = _what(study, run)
        if run.medium in ("dc", "ac") and what:
            solid_ac = what == "solid wire" and run.medium == "ac" and study.system.profile_name == "us-rv"
            yield Hit((run.id,), runs=(run.id,), severity=Severity.ADVICE if solid_ac else None, words={"what": what})


def _what(study: Study, run: Run) -> str:
    """What is wrong with the wire of a run; an empty text if nothing is."""
    defaults = study.system.defaults
    material, strand = run.spec.material or defaults.material, run.spec.strand or defaults.strand
    if study.system.profile_name in CABINS:
        return MATERIALS["copper-clad"] if material == "copper-clad" else ""
    return MATERIALS.get(material or "", "solid wire" if strand == "solid" else "")


CHECK = Check(
    slug=SLUG,
    title="wire that is not stranded copper",
    family="conductor",
    severity=Severity.FAULT,
    limit="Stranded copper in vehicles and boats; no copper-clad aluminium anywhere.",
    exceptions=(
        "Cabins, where aluminium and solid wire are usual; solid AC cable in US RVs is advice (NEC 551.47). A run that "
        "states neither counts as stranded copper."
    ),
    sources=(
        Source("33 CFR 183.425(a); NEC 552.10(B)(1)", "verified"),
        Source("ISO 13297; NEC 551.47", "from memory"),
    ),
    message="{at} is {what}: it breaks or loosens where things shake.",
    remedy="Run {at} in stranded copper.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A pump on stranded copper
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Wash pump, current: 5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG, strand: fine}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="strand: fine",
        failing="strand: solid",
        finds=("W1",),
    ),
)
