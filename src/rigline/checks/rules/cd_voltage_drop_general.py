"""Voltage lost in a wire is light, heat or speed that never reaches the load.

Cabin lamps glow dim and a fridge runs longer, which empties the battery sooner. It is no danger by itself, but a size
thicker costs little before the panels are closed.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing
from rigline.findings import Severity
from rigline.kinds.loads import Load
from rigline.study.causes import exceeds
from rigline.study.drop_sizing import load_drop_limit_frac
from rigline.study.drops import LoadDrop
from rigline.study.study import Study
from rigline.units import format_amount

SLUG = "cd-voltage-drop-general"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each load that is not critical and loses more than its class may."""
    if study.unsound:
        yield from currents_missing(study)
        return
    for id, drop in study.load_drops.items():
        load = study.system.components[id]
        if not isinstance(load, Load) or load.drop_class == "critical":
            continue
        if drop.missing or id in study.unstated:
            yield Missing((id,), ", ".join([*drop.missing, *([study.unstated[id]] if id in study.unstated else [])]))
        elif exceeds(drop.running_frac, limit := load_drop_limit_frac(study.graph, study.profile, load, drop)):
            yield _hit(load, drop, limit)


def _hit(load: Load, drop: LoadDrop, limit: float) -> Hit:
    words = {
        "lost": f"{drop.running_v:.3g} V of {drop.nominal_v:.4g} V",
        "source": drop.source,
        "length": format_amount(drop.length_m, "m"),
    }
    return Hit((load.id,), 100 * drop.running_frac, 100 * limit, "%", drop.runs, words=words)


CHECK = Check(
    slug=SLUG,
    title="much voltage lost on the way to a load",
    family="conductor",
    severity=Severity.ADVICE,
    limit=(
        "Boats and RVs: 10 % of the nominal voltage from source to load, out and back, every load on; buildings and "
        "caravans 5 %. AC: 3 % on a branch, 5 % with its feeder. The run's `drop-limit` goes before."
    ),
    exceptions="Dips while starting; loads of `drop-class: critical` have their own rule.",
    sources=(
        Source("ABYC E-11 voltage drop, 10 %", "verified"),
        Source("ISO 10133:2012 4.8", "from memory"),
        Source("NEC 210.19 and 215.2, informational notes", "verified"),
    ),
    message=(
        "{at} loses {found} % ({lost}) on its way from {source}, {length} one way, out and back; at most {limit} % "
        "is good "
        "practice for it. It will be dim, slow or weak."
    ),
    remedy="Use a thicker wire for {runs}, or shorten it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Cabin lamps far from the battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 15 A}
  LT1: {kind: dc-load, name: Cabin lamps, current: 10 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 6 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="wire: 12 AWG",
        failing="wire: 16 AWG",
        finds=("LT1",),
    ),
)
