"""A main fuse smaller than one of its branches opens first and takes everything with it.

A fault in one branch then puts out the lights, the pump and the radio together. Usually the two ratings were swapped,
or the main was kept when a bigger load was added.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.graph.kept import kept
from rigline.kinds.devices import Overcurrent
from rigline.model.system import Node
from rigline.study.causes import exceeds
from rigline.study.circuits import sides_of
from rigline.study.sides import Marks
from rigline.study.study import Study

SLUG = "rt-main-below-branch"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each DC device with a larger one behind it, away from the batteries."""
    for id in study.circuits:
        rating = study.rating_a(id)
        ends = [n for n in study.graph.nodes_of(id) if n.terminal and n.pole == "+"]
        if rating is None or len(ends) != 2:
            continue
        behind = {d: a for d in _behind(study, id, ends) if (a := study.rating_a(d)) is not None and exceeds(a, rating)}
        if behind:
            largest = max(sorted(behind), key=lambda device: behind[device])
            words = {"branch": study.system.components[largest].display}
            yield Hit((id, largest), rating, behind[largest], "A", words=words, field="rating")


def _behind(study: Study, id: str, ends: list[Node]) -> list[str]:
    """Devices on the side of a device that has no battery; none if both sides have one."""
    sides = sides_of(study.graph)
    parts = [sides.at(end, id) for end in ends]
    free = [part for part in parts if not sides.holds(part, _sources(study))]
    return sorted({node.component for node in sides.among(free[0], _devices(study))}) if len(free) == 1 else []


@kept
def _sources(study: Study) -> Marks:
    return sides_of(study.graph).marks(lambda node: study.graph.component_at(node).role in ("storage", "source"))


@kept
def _devices(study: Study) -> Marks:
    return sides_of(study.graph).marks(lambda node: isinstance(study.graph.component_at(node), Overcurrent))


CHECK = Check(
    slug=SLUG,
    title="main device smaller than a branch behind it",
    family="overcurrent",
    severity=Severity.ADVICE,
    limit="A main device is at least as large as the largest device behind it.",
    exceptions=(
        "Shore supplies that are limited on purpose, which are AC; branches with a source or battery of their own."
    ),
    sources=(Source("the device nearest a fault is to open first", "common practice"),),
    message=(
        "{at} is rated {found} A, but {branch} behind it is {limit} A: a fault in that branch opens {at} and puts "
        "everything out."
    ),
    remedy="Fit a smaller device for {branch}, or a larger {at} if its wire allows it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A main fuse and its branches
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 60 A}
  DC1: {kind: fuse-block, rating: 100 A}
  F2: {kind: fuse, style: blade, rating: 10 A}
  F3: {kind: fuse, style: blade, rating: 30 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  M1: {kind: motor, name: Winch, current: 20 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, DC1], lengths: [100 mm, 0.5 m], wire: 6 AWG}
  - {id: W2, path: [DC1, F2, LT1], lengths: [50 mm, 2 m], wire: 14 AWG}
  - {id: W3, path: [DC1, F3, M1], lengths: [50 mm, 2 m], wire: 8 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="style: blade, rating: 30 A",
        failing="style: terminal, rating: 80 A",
        finds=("F1", "F3"),
    ),
)
