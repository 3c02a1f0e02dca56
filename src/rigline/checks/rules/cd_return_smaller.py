"""What goes out comes back: the return carries the same current as the feed.

The fuse is chosen for the feed. Behind it a thin return, perhaps one borrowed from a lamp, glows while the fuse sees
nothing wrong. Where several circuits share a return, it must stand all of them together.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing
from rigline.findings import Severity
from rigline.study.causes import exceeds
from rigline.study.return_paths import Return
from rigline.study.study import Study

SLUG = "cd-return-smaller"
_SAME_SIZE_FRAC = 0.02
"""Sizes this close in area are one size: 35 mm² against 2 AWG."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run whose return is thinner than its feed, or than what its devices let come back."""
    if study.unsound:
        yield from currents_missing(study)
        return
    seen: set[str] = set()
    for one in study.returns:
        run = one.conductor.run
        if run in seen:
            continue
        said = _judge(one, run)
        if said is not None:
            seen.add(run)
            yield said


def _judge(one: Return, run: str) -> Hit | Missing | None:
    if one.size is None:
        return Missing((run,), f"wire of the return of {run}") if one.carries_a > 0 or one.lets_through_a > 0 else None
    if one.feed is not None and one.size.area_mm2 < one.feed.area_mm2 * (1 - _SAME_SIZE_FRAC):
        what = f"is {one.size}, thinner than its feed of {one.feed}"
        return _hit(one, one.size.area_mm2, one.feed.area_mm2, "mm²", what)
    if one.largest_a is None:
        return None
    if exceeds(one.lets_through_a, one.largest_a):
        what = (
            f"({one.size}) may stand behind {one.largest_a:.4g} A, but the devices of what returns through it let "
            f"{one.lets_through_a:.4g} A through"
        )
        return _hit(one, one.largest_a, one.lets_through_a, "A", what)
    if one.feed is None and exceeds(one.carries_a, one.largest_a):
        what = f"({one.size}) carries {one.carries_a:.4g} A but may carry {one.largest_a:.4g} A"
        return _hit(one, one.largest_a, one.carries_a, "A", what)
    return None


def _hit(one: Return, found: float, limit: float, unit: str, what: str) -> Hit:
    run = one.conductor.run
    return Hit((run,), found, limit, unit, (run,), one.conductor.segment, words={"what": what})


CHECK = Check(
    slug=SLUG,
    title="return thinner than its feed",
    family="conductor",
    severity=Severity.DANGER,
    limit=(
        "The return of a circuit is as thick as its feed. A return of its own may stand behind the sum of the "
        "devices of "
        "all circuits that come back through it, or the main device if that is smaller."
    ),
    exceptions="Chassis return in US RVs (NEC 552.10(B)(1)); cranking cables.",
    sources=(
        Source("33 CFR 183.425(b), ungrounded and grounded conductors alike", "from memory"),
        Source("returns as thick as feeds", "common practice"),
    ),
    message="The return of {at} {what}: it can glow while the fuse in the feed stays closed.",
    remedy="Run the return of {at} in the same size as the feed.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A winch with a return of its own size
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 30 A}
  M1: {kind: motor, name: Anchor winch, current: 20 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 1.5 m], wire: 10 AWG, return-wire: 10 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="return-wire: 10 AWG",
        failing="return-wire: 14 AWG",
        finds=("W1",),
    ),
)
