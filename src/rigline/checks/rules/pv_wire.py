"""Wire on a roof lives in sun, rain and heat for twenty years.

Common insulation turns brittle in a few summers, cracks at the first bend and leaves live copper on metal. Wire made
for solar arrays stands the sun, and stays within its temperature behind a hot module.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import PvArray
from rigline.model.system import Run
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "pv-wire"
LEAST_C = 90.0
"""Least temperature rating of wire at an array. Source: NEC 690.31, from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run at an array that is not made for sun, rain and heat."""
    for run in study.system.runs:
        if run.medium != "dc" or not _is_exposed(study, run):
            continue
        rating = study.limits.circumstances(run).insulation_c
        if run.spec.sunlight_resistant is False:
            yield Hit((run.id,), runs=(run.id,), words={"what": "does not stand sun and rain"})
        elif rating is not None and exceeds(LEAST_C, rating):
            words = {"what": f"is made for {rating:g} °C and needs {LEAST_C:g} °C"}
            yield Hit((run.id,), rating, LEAST_C, "°C", (run.id,), words=words)
        elif run.spec.sunlight_resistant is None:
            yield Missing((run.id,), f"whether {run.id} stands sun and rain (sunlight-resistant)")


def _is_exposed(study: Study, run: Run) -> bool:
    place = study.system.places.get(run.spec.place or "")
    indoors = place is not None and not place.outside
    return not indoors and any(isinstance(study.system.components[stop.component], PvArray) for stop in run.stops)


CHECK = Check(
    slug=SLUG,
    title="wire at an array that is not made for the roof",
    family="PV",
    severity=Severity.FAULT,
    limit="Runs at an array resist sunlight and are made for 90 °C or more.",
    exceptions="Runs in a place that is not outdoors. Their ampacity for 1.56 times the current: cd-undersized.",
    sources=(Source("NEC 690.31 and 690.8(B)", "from memory"),),
    message="{at} runs from an array and {what}: its insulation cracks and bares live copper.",
    remedy="Run {at} in solar wire that resists sunlight and is made for 90 °C when wet.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A small module on the cabin roof
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: anl, rating: 35 A}
  PV1: {kind: pv-array, pmax: 100 W, vmp: 18 V, imp: 5.5 A, voc: 22 V, isc: 6 A, frame: none}
  SC1: {kind: charge-controller, max-input: 50 V, method: pwm, output: 10 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="sunlight-resistant: true",
        failing="sunlight-resistant: false",
        finds=("W1",),
    ),
)
