"""A terminal holds the wires it was made for, and a lug fits the stud it was drilled for.

A thick cable trimmed down to enter a small clamp loses strands and grows hot there; a thin one slips out of a large
clamp. A lug with too large a hole touches its stud at two points.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.model.system import EARTH, Run, Segment
from rigline.standards.studs import fits, parse_stud
from rigline.standards.wire import CMIL_COMPARISON_FRAC, WireSize
from rigline.study.study import Study

SLUG = "ph-terminal-wire-range"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each end of a run whose wire is outside its terminal's range, or whose lug does not fit the stud."""
    said: set[tuple[str, str]] = set()
    for segment in study.system.segments:
        for id in (segment.start.component, segment.end.component):
            found = None if (segment.run, id) in said else _wire(study, segment, study.system.components[id])
            if found is not None:
                said.add((segment.run, id))
                yield found
    for run in study.system.runs:
        yield from _studs(study, run)


def _wire(study: Study, segment: Segment, component: Component) -> Hit | None:
    sizes = [size for c in segment.conductors if c.pole not in (EARTH, "S") and (size := study.wiring.size(c))]
    for size in sorted(sizes, key=lambda size: size.area_mm2):
        low, high = component.min_wire, component.max_wire
        if high is not None and size.area_mm2 > high.area_mm2 * (1 + CMIL_COMPARISON_FRAC):
            return _hit(segment, component, size, high, "takes at most")
        if low is not None and size.area_mm2 < low.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
            return _hit(segment, component, size, low, "takes at least")
    return None


def _hit(segment: Segment, component: Component, size: WireSize, limit: WireSize, how: str) -> Hit:
    words = {"what": f"{segment.run} is {size}, and a terminal of {component.id} {how} {limit}"}
    at = (component.id, segment.run)
    return Hit(at, size.area_mm2, limit.area_mm2, "mm²", (segment.run,), segment.id, words=words)


def _studs(study: Study, run: Run) -> Iterator[Hit]:
    for lug, stop in zip(run.spec.stud or (), (run.stops[0], run.stops[-1]), strict=False):
        studs = study.system.components[stop.component].stud
        if studs and not any(_fits(lug, stud) for stud in studs):
            words = {"what": f"{run.id} has a lug for {lug}, and {stop.component} has {', '.join(studs)} studs"}
            yield Hit((stop.component, run.id), runs=(run.id,), words=words)


def _fits(lug: str, stud: str) -> bool:
    """Whether a lug goes on a stud; sizes that no table has fit only themselves."""
    sizes = parse_stud(lug), parse_stud(stud)
    return lug == stud if sizes[0] is None or sizes[1] is None else fits(sizes[0], sizes[1])


CHECK = Check(
    slug=SLUG,
    title="wire or lug that does not fit its terminal",
    family="physical",
    severity=Severity.FAULT,
    limit="Within `min-wire` and `max-wire` of the component; the lug's hole is the stud's size.",
    exceptions="Components that state no range are not judged; a listed adapter is a component of its own.",
    sources=(Source("NEC 110.14", "from memory"), Source("ISO 273 and ASME B18.2.8, holes for studs", "from memory")),
    message="{what}: the joint heats up.",
    remedy="Join {at} by a terminal block and a short tail that fits, with a fuse for the tail, or change the wire.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A pump with clamps for its wire
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  M1: {kind: motor, name: Wash pump, current: 5 A, continuous: false, max-wire: 10 AWG}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="max-wire: 10 AWG",
        failing="max-wire: 14 AWG",
        finds=("M1", "W1"),
    ),
)
