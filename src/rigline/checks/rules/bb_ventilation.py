"""Lead batteries give off hydrogen while they are charged, and hydrogen in a closed box explodes.

It rises, so it needs a way out at the top and air that comes in at the bottom. Sealed batteries give little of it, but
much when a charger fails.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import Battery
from rigline.spec.document import Place
from rigline.study.causes import exceeds
from rigline.study.study import Study
from rigline.study.ventilation import MM2_PER_CM2, opening_mm2

SLUG = "bb-ventilation"
LEAST_RV_MM2 = 1100.0
"""Least free area above, and again below, in a recreational vehicle: 1.7 square inches. Source: NEC 552.10(D)."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each lead battery in a place that is not ventilated, or not enough for all lead batteries in it."""
    batteries = [c for _, c in sorted(study.system.components.items()) if isinstance(c, Battery)]
    lead = [battery for battery in batteries if battery.chemistry != "lifepo4"]
    for name in sorted({b.place or "" for b in lead}):
        here = [b for b in lead if (b.place or "") == name]
        place = study.system.places.get(name)
        if place is not None and place.vent_mm2 is not None:
            yield from _by_area(study, here, place.vent_mm2)
        else:
            yield from (said for battery in here for said in _by_word(battery, place))


def _by_word(battery: Battery, place: Place | None) -> Iterator[Hit | Missing]:
    if battery.chemistry is None:
        yield Missing((battery.id,), f"chemistry of {battery.id}")
        return
    said = [battery.vented]
    if place is not None:
        said += [place.ventilated, True if place.outside else None]
    if True in said:
        return
    if False in said:
        words = {
            "what": "stands where air can't leave to the outdoors",
            "need": "openings to the outdoors at top and bottom",
        }
        yield Hit((battery.id,), severity=_severity([battery]), words=words)
    else:
        yield Missing((battery.id,), f"whether the place of {battery.id} is ventilated (ventilated of its place)")


def _by_area(study: Study, batteries: Sequence[Battery], free_mm2: float) -> Iterator[Hit | Missing]:
    ids = tuple(b.id for b in batteries)
    needs = [opening_mm2(b) for b in batteries]
    if None in needs:
        silent = ", ".join(b.id for b, need in zip(batteries, needs, strict=True) if need is None)
        yield Missing(ids, f"chemistry, voltage and capacity of {silent}")
        return
    need = max(sum(n for n in needs if n is not None), LEAST_RV_MM2 if study.profile.name == "us-rv" else 0.0)
    if exceeds(need, free_mm2):
        words = {
            "what": f"has {free_mm2 / MM2_PER_CM2:.4g} cm² of opening, and {need / MM2_PER_CM2:.4g} cm² is the least",
            "need": f"{need / MM2_PER_CM2:.4g} cm² of opening at the top and again at the bottom",
        }
        found, limit = free_mm2 / MM2_PER_CM2, need / MM2_PER_CM2
        yield Hit(ids, found, limit, "cm²", severity=_severity(batteries), words=words)


def _severity(batteries: Sequence[Battery]) -> Severity:
    return Severity.DANGER if any(b.chemistry == "flooded" for b in batteries) else Severity.FAULT


CHECK = Check(
    slug=SLUG,
    title="lead battery without ventilation",
    family="battery bank",
    severity=Severity.DANGER,
    limit=(
        "The place of lead batteries is ventilated to the outdoors; if it states its openings (vent), they "
        "have the area "
        "of IEC 62485-2 above and again below, in recreational vehicles at least 11 cm²."
    ),
    exceptions="Lithium iron phosphate, which gives no hydrogen in use; batteries outdoors.",
    sources=(
        Source("IEC 62485-2 7.2 and 7.3", "from memory"),
        Source("NEC 552.10(D)", "from memory"),
        Source("ABYC E-10", "from memory"),
    ),
    message="{at} {what}: hydrogen from charging collects there, and a spark explodes it.",
    remedy="Give the place of {at} {need}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A battery box
profile: us-boat
body: plastic
places:
  box: {vent: 2000 mm²}
components:
  B1: {kind: battery, chemistry: flooded, voltage: 12 V, capacity: 100 Ah, short-circuit: 800 A, place: box}
  F1: {kind: fuse, style: class-t, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="vent: 2000 mm²",
        failing="vent: 500 mm²",
        finds=("B1",),
    ),
)
