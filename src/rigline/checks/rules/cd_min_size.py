"""A wire that is too thin breaks before it burns.

Strands fatigue where a hull or a body shakes, thin wires tear out of their crimps, and one hidden break is a circuit
that works every other day. Each rule set has a least size, whatever the current.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import Run
from rigline.standards.profiles import SizeLimit
from rigline.standards.wire import CMIL_COMPARISON_FRAC
from rigline.study.study import Study

SLUG = "cd-min-size"
PIGTAIL_M = 0.178
"""Leads up to 7 in that belong to a device may be thinner. Source: 33 CFR 183.425(f)."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each power run with a conductor below the least size of its rule set."""
    for run in study.system.runs:
        if run.medium not in ("dc", "ac") or run.spec.factory or _is_pigtail(run):
            continue
        least = _least(study, run)
        sizes = [size for s in run.segments for c in s.conductors if (size := study.wiring.size(c)) is not None]
        thinnest = min(sizes, key=lambda size: size.area_mm2, default=None)
        if thinnest is None:
            yield Missing((run.id,), f"wire of {run.id}")
        elif thinnest.area_mm2 < least.size.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
            words = {"wire": str(thinnest), "least": str(least.size), "clause": least.source}
            yield Hit((run.id,), thinnest.area_mm2, least.size.area_mm2, "mm²", (run.id,), words=words, field="")


def _is_pigtail(run: Run) -> bool:
    return run.length_m is not None and run.length_m <= PIGTAIL_M


def _least(study: Study, run: Run) -> SizeLimit:
    if run.medium == "ac":
        return study.profile.min_size_ac
    sheathed = study.system.defaults.sheathed if run.spec.sheathed is None else run.spec.sheathed
    return study.profile.min_size_dc_sheathed if sheathed else study.profile.min_size_dc


CHECK = Check(
    slug=SLUG,
    title="wire below the least size",
    family="conductor",
    severity=Severity.FAULT,
    limit=(
        "US boats 16 AWG, 18 AWG in a sheath; other boats 1 mm², 0.75 mm² in a sheath; RV low voltage 18 AWG; US "
        "cabins and "
        "AC 14 AWG; caravans 1.5 mm²."
    ),
    exceptions=(
        "Leads that a maker fitted (`factory: true`), leads up to 7 in (33 CFR 183.425(f)), sense and data leads."
    ),
    sources=(
        Source("33 CFR 183.425(d) and (e)", "verified"),
        Source("ISO 10133:2012 7.7", "verified"),
        Source("NEC 310.3(A) and Table 552.10(E)(1); EN 1648; IEC 60364-7-721", "from memory"),
    ),
    message=(
        "{at} is {wire} ({found} {unit}), below the least size of {least} ({limit} {unit}; {clause}): it can break "
        "where it shakes."
    ),
    remedy="Run {at} in {least} or thicker.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A single lead to a lamp
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 3 A}
  LT1: {kind: dc-load, name: Chart lamp, current: 0.5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 16 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="wire: 16 AWG",
        failing="wire: 18 AWG",
        finds=("W1",),
    ),
)
