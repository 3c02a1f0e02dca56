"""A fuse opens by heat and can't tell the heat of its current from the heat of its cupboard.

Rated in a cool room, it opens a fifth early beside an engine. A circuit that is chosen close then fails on the hottest
day, when its fan is needed most.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Breaker, Fuse, Overcurrent
from rigline.study.causes import exceeds
from rigline.study.study import Study
from rigline.units import format_amount

SLUG = "rt-ocpd-derated"
FUSE_REFERENCE_C, FUSE_PER_K = 25.0, 0.2 / 35
"""Fuses keep 80 % of their rating at 60 °C, counted from 25 °C. Common practice of data sheets."""
BREAKER_REFERENCE_C, BREAKER_PER_K = 40.0, 0.01
"""Thermal breakers keep 90 % at 50 °C, counted from 40 °C. Common practice of data sheets."""
LASTING_FACTOR = 1.25
"""A quarter in hand on what lasts. Source: NEC 210.20(A)."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device in a hot place that keeps less than its lasting load needs there."""
    for id, circuit in study.circuits.items():
        device, rating = study.system.components[id], study.rating_a(id)
        place = study.system.places.get(device.place or "")
        if not isinstance(device, Overcurrent) or rating is None or place is None or place.max_c is None:
            continue
        kept = rating * _kept_frac(device, place.max_c)
        # What is too small in the cool already is rt-ocpd-under-continuous.
        if exceeds(circuit.needed_a, kept) and not exceeds(circuit.needed_a, rating):
            heat, where = format_amount(place.max_c, "c"), place.name or device.place or ""
            words = {"rating": f"{rating:g}", "heat": heat, "where": where}
            yield Hit((id,), kept, circuit.needed_a, "A", words=words, field="rating")


def _kept_frac(device: Overcurrent, ambient_c: float) -> float:
    """Share of its rating that a device keeps in hot air."""
    if isinstance(device, Fuse):
        return 1 - FUSE_PER_K * max(ambient_c - FUSE_REFERENCE_C, 0.0)
    if isinstance(device, Breaker) and device.style != "magnetic":
        return 1 - BREAKER_PER_K * max(ambient_c - BREAKER_REFERENCE_C, 0.0)
    return 1.0


CHECK = Check(
    slug=SLUG,
    title="fuse too small for its hot place",
    family="overcurrent",
    severity=Severity.FAULT,
    limit="What the device keeps of its rating in its place's heat carries the load, a quarter more on what lasts.",
    exceptions="Magnetic breakers, which heat does not move. Devices whose place has no `max` count as cool.",
    sources=(
        Source("NEC 110.14 and 240.6, notes", "from memory"),
        Source("80 % at 60 °C for fuses, 90 % at 50 °C for thermal breakers", "common practice"),
    ),
    message="{at} of {rating} A keeps {found} A at {heat} in {where}, and needs {limit} A: it opens on a hot day.",
    remedy="Move {at} to a cool place, or fit the next size that its wire allows.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A fridge with its fuse in a cool place
profile: us-boat
body: plastic
places:
  bay: {name: the engine bay, max: 25 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A, place: bay}
  FR1: {kind: dc-load, name: Fridge, current: 7.5 A, continuous: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, FR1], lengths: [100 mm, 2 m], wire: 10 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="max: 25 °C",
        failing="max: 60 °C",
        finds=("F1",),
    ),
)
