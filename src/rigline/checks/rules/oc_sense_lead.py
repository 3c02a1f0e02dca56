"""A wire as thin as a hair hangs on a battery as strong as a welder.

Sense and signal leads carry milliamperes, so nobody fuses them. Chafed, they glow along their whole length behind the
panelling. A small fuse at the hot end costs next to nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Overcurrent, Shunt
from rigline.model.system import Run
from rigline.study.study import Study

SLUG = "oc-sense-lead"
LIVE_ROLES = ("storage", "bus", "source")
"""Roles of components at whose terminals a lead is live."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each sense lead from a live point that has no fuse, and each that does not say."""
    for run in study.system.runs:
        source = _source(study, run) if run.carries == "sense" else None
        if source is None or run.spec.fused:
            continue
        if run.spec.fused is None:
            yield Missing((run.id,), f"whether {run.id} has a fuse at its hot end (fused)")
        else:
            yield Hit((run.id, source), runs=(run.id,), words={"source": source})


def _source(study: Study, run: Run) -> str | None:
    """The live component that a lead comes from; None for leads from a shunt, or with a device in their path."""
    stops = [study.system.components[stop.component] for stop in run.stops]
    if any(isinstance(stop, Shunt | Overcurrent) for stop in stops):
        return None
    return next((stop.id for stop in stops if stop.role in LIVE_ROLES), None)


CHECK = Check(
    slug=SLUG,
    title="sense lead without a fuse",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="A fuse of 1 to 3 A, or a resistor, at the hot end of every sense lead.",
    exceptions="Leads between a shunt in the negative and its monitor, which carry millivolts.",
    sources=(
        Source("33 CFR 183.455(a); 46 CFR 183.380(c), control and indicator conductors", "verified"),
        Source("1 to 3 A at the take-off", "common practice"),
    ),
    message="{at} leaves {source} without a fuse: a lead this thin burns along its whole length when it chafes.",
    remedy="Fit a 1 A to 3 A fuse in {at}, right at {source}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A monitor with its sense lead
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 3 A}
  MON1: {kind: monitor, current: 0.1 A, continuous: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, MON1], lengths: [100 mm, 2 m], wire: 16 AWG}
  - {id: W2, path: [B1, MON1.sense], length: 2 m, carries: sense, wire: 18 AWG, fused: true}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="fused: true",
        failing="fused: false",
        finds=("W2", "B1"),
    ),
)
