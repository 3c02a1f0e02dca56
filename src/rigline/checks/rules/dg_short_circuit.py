"""Plus joined to minus by wire is a welding machine.

A battery pushes thousands of amperes into such a joint the moment it is made: metal sprays, cables burn along their
whole length. On paper it usually is a run copied with one end left unchanged.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.closed_loops import short_circuits
from rigline.study.study import Study

SLUG = "dg-short-circuit"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each run that joins the poles of sources, with the sources it shorts."""
    by_runs: dict[tuple[str, ...], list[str]] = {}
    for source, runs in short_circuits(study.graph):
        by_runs.setdefault(runs, []).append(source)
    for runs, sources in by_runs.items():
        unique = tuple(dict.fromkeys(sources))
        yield Hit(unique, runs=runs)


CHECK = Check(
    slug=SLUG,
    title="short circuit in the plan",
    family="documentation",
    severity=Severity.DANGER,
    limit="No way of wire, fuses and closed switches from one pole of a source to its other pole.",
    exceptions=(
        "The bond of neutral to earth and of the DC negative to the chassis; a switch that shorts a turbine to stop it "
        "(`brake: true`) or is open in use (`normally: open`)."
    ),
    sources=(Source("arithmetic on the wiring", "verified"),),
    message="{all}: plus and minus are joined by wire ({runs}). Connecting it would spray metal and burn the cables.",
    remedy="Correct the run that goes from plus to minus ({runs}), or delete it.",
    find=find,
    hygiene=True,
    example=Example(
        spec="""\
rigline: 1
title: A bar with its return brought back by itself
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 30 A}
  BUS1: {kind: busbar, rating: 100 A}
  F2: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.5 m], wire: 8 AWG}
  - {id: W2, path: [B1-, BUS1-], length: 0.6 m, wire: 6 AWG}
  - {id: W3, path: [BUS1, F2, LT1], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W4, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="path: [B1-, BUS1-]",
        failing="path: [B1-, BUS1+]",
        finds=("B1",),
    ),
)
