"""A slip of the pen passes every rule that it makes easier.

Three hundred metres for three, a bank of five thousand ampere-hours, a pump's fuse on a cranking cable: each can be
meant, and most are not. Better asked once than ordered wrong.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Overcurrent
from rigline.kinds.sources import Battery
from rigline.study.causes import exceeds
from rigline.study.study import ConductorStudy, Study
from rigline.units import format_amount

SLUG = "dg-implausible"
LONGEST_M = 50.0
"""Longest run of a small system. Common practice."""
LEAST_AH, MOST_AH = 5.0, 2000.0
"""Charge of one battery block. Common practice."""
MOST_TIMES = 30.0
"""Ampacity of a wire over the rating of its only device. Common practice: 10 A on 4/0 AWG is 44 times."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each length, charge and pair of fuse and wire that is outside what small systems have."""
    for run in study.system.runs:
        if not run.spec.confirmed and run.length_m is not None and exceeds(run.length_m, LONGEST_M):
            yield _hit((run.id,), run.length_m, LONGEST_M, "m", "", (run.id,))
    for id, battery in sorted(study.system.components.items()):
        if isinstance(battery, Battery) and battery.capacity_ah is not None and not battery.confirmed:
            if exceeds(battery.capacity_ah, MOST_AH):
                yield _hit((id,), battery.capacity_ah, MOST_AH, "Ah", "has {found} Ah a block; {limit} Ah is a lot")
            elif exceeds(LEAST_AH, battery.capacity_ah):
                yield _hit((id,), battery.capacity_ah, LEAST_AH, "Ah", "has {found} Ah a block; {limit} Ah is little")
    said: set[str] = set()
    for one in study.conductors.values():
        pair = _lone_device(study, one)
        if pair is not None and one.limits is not None and one.conductor.run not in said:
            said.add(one.conductor.run)
            most = one.limits.ampacity_a / MOST_TIMES
            words = "is {found} A on " + f"{one.size} in {one.conductor.run}; below {{limit}} A for such a wire is rare"
            yield _hit((pair,), study.rating_a(pair) or 0.0, most, "A", words, (one.conductor.run,))


def _lone_device(study: Study, one: ConductorStudy) -> str | None:
    """The device that a much too thick wire leaves, if nobody confirmed either."""
    spec = study.run_of(one.conductor).spec
    for end in one.exposure.ends:
        device = study.system.components[end.node.component]
        rating = study.rating_a(device.id) if isinstance(device, Overcurrent) else None
        open_question = not spec.confirmed and not device.confirmed and spec.wire is not None
        if rating and one.limits and open_question and exceeds(one.limits.ampacity_a, MOST_TIMES * rating):
            return device.id
    return None


def _hit(at: tuple[str, ...], found: float, limit: float, unit: str, what: str, runs: tuple[str, ...] = ()) -> Hit:
    if unit == "m":
        what = f"is {format_amount(found, 'm')} long; {format_amount(limit, 'm')} is a long way"
    words = {"what": what.format(found=f"{found:.4g}", limit=f"{limit:.4g}")}
    return Hit(at, found, limit, unit, runs, words=words)


CHECK = Check(
    slug=SLUG,
    title="value that is probably a slip",
    family="documentation",
    severity=Severity.ADVICE,
    limit="Runs up to 50 m; blocks of 5 to 2000 Ah; a wire that carries at most 30 times its device's rating.",
    exceptions="`confirmed: true` on the component or run.",
    sources=(Source("sizes that occur in small systems", "common practice"),),
    message="{at} {what}.",
    remedy="Measure or read {at} again; if it is right, write `confirmed: true` there.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A pump on a small battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 7 Ah, short-circuit: 200 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Wash pump, current: 1 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="capacity: 7 Ah",
        failing="capacity: 4 Ah",
        finds=("B1",),
    ),
)
