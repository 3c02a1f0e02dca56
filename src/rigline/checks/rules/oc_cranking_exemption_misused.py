"""A starter cable needs no fuse, because a fuse that carries cranking current would protect nothing and a starter runs
for seconds. That holds for the starter alone.

What is hung on the same cable without a fuse of its own borrows an exemption that was never meant for it.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.study.causes import exceeds
from rigline.study.study import Study
from rigline.units import format_amount

SLUG = "oc-cranking-exemption-misused"
LONGEST_M = 3.0
"""Length of a cranking cable from which a fuse is worth its trouble. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Circuits without a device that start on a cranking cable, and cranking cables that are long."""
    for said in exposed_hits(study, SLUG):
        yield said if isinstance(said, Missing) else _hung_on(said)
    lengths: dict[str, float] = {}
    for one in study.conductors.values():
        if any(cause.exception == "E1" for cause in one.causes) and one.conductor.length_m is not None:
            lengths[one.conductor.run] = lengths.get(one.conductor.run, 0.0) + one.conductor.length_m
    for run, length in lengths.items():
        if exceeds(length, LONGEST_M):
            yield _long(run, length)


def _hung_on(hit: Hit) -> Hit:
    most = f"{hit.words['wire']} may have at most {hit.limit:.4g} A ahead of it"
    what = f"{', '.join(hit.at)} hangs on the starter cable without a device; {most}"
    todo = f"Fit a device of {hit.limit:.4g} A or less where {', '.join(hit.runs)} begins, or move it to a fused bus"
    return replace(hit, words={**hit.words, "what": what, "todo": todo})


def _long(run: str, length: float) -> Hit:
    found, most = format_amount(length, "m"), format_amount(LONGEST_M, "m")
    what = f"a cranking cable of {found} without a device; up to {most} is usual"
    todo = "Sheath the cable along its whole length, or fit a fuse that carries the cranking current"
    words = {"what": what, "todo": todo}
    return Hit((run,), length, LONGEST_M, "m", (run,), severity=Severity.ADVICE, words=words)


CHECK = Check(
    slug=SLUG,
    title="circuit hung on an unfused starter cable",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=("No branch without a device from a cranking cable. A cranking cable longer than 3 m is reported as advice."),
    exceptions="The alternator's cable on the starter's stud, if oc-alternator-run passes it.",
    sources=(
        Source("ABYC E-11, exception for cranking motors", "verified"),
        Source("46 CFR 111.15-25", "verified"),
        Source("3 m", "common practice"),
    ),
    message="{runs}: {what}.",
    remedy="{todo}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Windlass beside the starter
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 90 Ah, short-circuit: 3 kA, starting: true}
  Q1: {kind: switch, voltage: 32 V, rating: 300 A, cranking: 800 A}
  M1: {kind: motor, name: Starter, cranking: true, current: 150 A, start: 400 A}
  F1: {kind: fuse, style: anl, rating: 100 A}
  WL1: {kind: motor, name: Windlass, current: 80 A}
  F2: {kind: fuse, style: anl, rating: 35 A}
  LT1: {kind: dc-load, name: Lamps, power: 48 W}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, Q1, M1], lengths: [0.4 m, 0.8 m], wire: 2/0 AWG, sheathed: true}
  - {id: W2, path: [Q1.out, F1, WL1], lengths: [100 mm, 3 m], wire: 2 AWG, sheathed: true}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2/0 AWG}
  - {id: W4, path: [B1, F2, LT1], lengths: [100 mm, 2 m], wire: 14 AWG}
""",
        passing="F1: {kind: fuse, style: anl, rating: 100 A}",
        failing="F1: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("WL1",),
    ),
)
