"""A heavy cable doesn't turn where a thin one does, and a locker doesn't grow.

Bent tighter than its makers allow, a cable flattens, its insulation thins on the outside of the bend, and its lug is
levered off the stud. It is found out after the cable was bought.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.bending import Turn, turns
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "ph-bend-radius"
STIFF_MM2 = 30.0
"""From 2 AWG and 35 mm² up a cable has a will of its own, and the room must be known. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each cable that needs more room to turn than its place has, once for each run and place."""
    said: set[tuple[str, str]] = set()
    for turn in turns(study):
        found = None if (turn.segment.run, turn.place) in said else _judge(turn)
        if found is not None:
            said.add((turn.segment.run, turn.place))
            yield found


def _judge(turn: Turn) -> Hit | Missing | None:
    run = turn.segment.run
    if turn.free_mm is None:
        stiff = turn.size is not None and turn.size.area_mm2 > STIFF_MM2
        return Missing((run,), f"free space of {turn.place} (`free`)") if stiff else None
    if turn.needed_mm is not None and not exceeds(turn.needed_mm, turn.free_mm):
        return None
    if turn.needed_mm is None or turn.is_bound:
        return Missing((run,), f"thickness of its cable, for the {turn.free_mm:g} mm of {turn.place}")
    words = {"size": str(turn.size), "thick": f"{turn.outside_mm:g}", "place": turn.place}
    at = (turn.at,) if turn.at == run else (turn.at, run)
    return Hit(at, turn.free_mm, turn.needed_mm, "mm", (run,), turn.segment.id, words=words)


CHECK = Check(
    slug=SLUG,
    title="cable that does not turn in the room there is",
    family="physical",
    severity=Severity.FAULT,
    limit=(
        "Inner radius of 5 diameters in the US; elsewhere 4 up to 8 mm across, 5 up to 12 mm, 6 above; and the cable "
        "itself."
    ),
    exceptions="Cable made for tighter bends: waive it with its maker's figure.",
    sources=(
        Source("NEC 551.47(H); EN 50525-2-31, fixed installation", "verified"),
        Source("diameters of UL 1426 and H07V-K cable", "from memory"),
        Source("5 diameters on boats and in cabins", "common practice"),
    ),
    message=(
        "{runs} is {size}, {thick} mm across, and needs {limit} mm to turn at {at}; {place} has {found} mm free. "
        "Forced round, its insulation thins and its lug bends the stud."
    ),
    remedy="Turn {at} so that the cable leaves straight, fit a right-angle lug or a bar, or find {limit} mm.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A bank in a low locker
profile: us-rv
body: plastic
places:
  locker: {free: 90 mm, ventilated: true}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 2 kA,
       disconnect: true, charge-display: true, place: locker}
  F1: {kind: fuse, style: class-t, rating: 110 A}
  BUS1: {kind: busbar, rating: 150 A}
  LT1: {kind: dc-load, name: Floodlights, power: 300 W, continuous: false}
  GND: {kind: chassis, name: Frame}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [150 mm, 0.5 m], wire: 1/0 AWG}
  - {id: W2, path: [BUS1, LT1], length: 2 m, wire: 1/0 AWG}
  - {id: W3, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 1/0 AWG}
""",
        passing="free: 90 mm",
        failing="free: 80 mm",
        finds=("B1", "W1"),
    ),
)
