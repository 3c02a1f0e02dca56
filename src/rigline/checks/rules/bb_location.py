"""A battery is heavy, hot, wet or gassy at the wrong moment, so where it stands decides much.

Loose, it tears its cables off and shorts them in a crash or a gale. Under bilge water it empties itself; next to gas
bottles or petrol its sparks find fuel; in a hot engine bay it ages in a year or two.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import Battery
from rigline.spec.document import Place
from rigline.study.causes import exceeds
from rigline.study.study import Study
from rigline.units import format_amount

SLUG = "bb-location"
HOTTEST_C = 45.0
"""Warmest air for a battery in use. Common practice."""
MOBILE = ("us-rv", "us-boat", "intl-boat", "uk-inland-boat", "eu-caravan")
"""Profiles of what moves, where a battery must be held."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each battery that is loose, or stands where it must not."""
    for id, battery in sorted(study.system.components.items()):
        if not isinstance(battery, Battery):
            continue
        moves = study.system.head.mobile is not False and study.profile.name in MOBILE
        if moves and battery.restrained is None:
            yield Missing((id,), f"whether {id} is strapped down or boxed in (restrained)")
        elif moves and not battery.restrained:
            yield Hit((id,), words={"where": "is not held", "why": "thrown about, it tears its cables off and shorts"})
        place = study.system.places.get(battery.place or "")
        if place is not None:
            yield from _by_place(battery, place)


def _by_place(battery: Battery, place: Place) -> Iterator[Hit]:
    found = {
        "stands where bilge water can reach it": (place.bilge, "water drains it and eats its posts"),
        "stands with gas bottles": (place.lpg, "a spark at its posts lights leaking gas"),
        "stands where petrol vapour collects": (place.petrol, "a spark at its posts lights it"),
        "stands where people sleep": (place.sleeping and battery.chemistry == "flooded", "it gives off gas and acid"),
    }
    for where, (is_so, why) in found.items():
        if is_so:
            yield Hit((battery.id,), words={"where": where, "why": why}, field="place")
    # A starting battery may stand in an engine bay, as the engine's maker has it.
    if place.max_c is not None and exceeds(place.max_c, HOTTEST_C) and not battery.starting:
        most = format_amount(HOTTEST_C, "c")
        words = {"where": f"stands in {format_amount(place.max_c, 'c')}", "why": f"above {most} it ages fast"}
        yield Hit((battery.id,), place.max_c, HOTTEST_C, "°C", words=words, field="place")


CHECK = Check(
    slug=SLUG,
    title="battery in a bad place",
    family="battery bank",
    severity=Severity.FAULT,
    limit=(
        "A battery is held, above bilge water, away from gas bottles and petrol, at most at 45 °C; flooded "
        "ones not where "
        "people sleep."
    ),
    exceptions="Starting batteries in an engine bay, as for heat; batteries in a cabin need not be held.",
    sources=(
        Source("ISO 10133", "from memory"),
        Source("EN 1648-1 and EN 1648-2", "from memory"),
        Source("ABYC E-10", "from memory"),
    ),
    message="{at} {where}: {why}.",
    remedy="Fasten {at} in a dry, cool place of its own, away from fuel.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A battery and its lamps
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A, restrained: true}
  F1: {kind: fuse, style: class-t, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="restrained: true",
        failing="restrained: false",
        finds=("B1",),
    ),
)
