"""No wire is shorter than the straight line between its ends.

A length that was guessed too short makes every voltage drop too small and the cable too thin. Where places have
coordinates, the arithmetic catches it before the order is sent.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import dist

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.causes import exceeds
from rigline.study.study import Study
from rigline.units import UnitProblem, parse_amount

SLUG = "ph-length-plausible"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run that is shorter than the distance between the places of its ends."""
    for run in study.system.runs:
        ends = [study.system.components[run.stops[at].component].place for at in (0, -1)]
        start, stop = (_at(study, name) for name in ends)
        if start is None or stop is None or len(start) != len(stop) or run.spec.confirmed:
            continue
        straight = dist(start, stop)
        if run.length_m is not None and exceeds(straight, run.length_m):
            words = {"from": str(ends[0]), "to": str(ends[1])}
            yield Hit((run.id,), run.length_m, straight, "m", (run.id,), words=words)


def _at(study: Study, name: str | None) -> tuple[float, ...] | None:
    """Coordinates of a place in metres; None if it states none that can be read."""
    place = study.system.places.get(name or "")
    if place is None or not place.at:
        return None
    try:
        return tuple(parse_amount(text, "m") for text in place.at)
    except UnitProblem:
        return None


CHECK = Check(
    slug=SLUG,
    title="run shorter than the distance between its ends",
    family="physical",
    severity=Severity.ADVICE,
    limit="At least the straight line between the places of its ends; a fifth more is usual.",
    exceptions="Places without coordinates; `confirmed: true` on the run.",
    sources=(Source("arithmetic; a fifth more for the way along walls", "common practice"),),
    message="{at} is {found} {unit} long, but {from} and {to} lie {limit} {unit} apart.",
    remedy="Measure {at} along its way and write that length.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A pump in the bow
profile: us-boat
body: plastic
places:
  stern: {at: [0 m, 0 m]}
  bow: {at: [2 m, 0 m]}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A, place: stern}
  F1: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Wash pump, current: 5 A, continuous: false, place: bow}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2.4 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="2.4 m",
        failing="0.3 m",
        finds=("W1",),
    ),
)
