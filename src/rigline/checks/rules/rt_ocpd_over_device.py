"""The maker of a device says how large a fuse may stand ahead of it.

Inside an inverter, controller or appliance there are thin wires and tracks that only survive a fault if the fuse
ahead is small enough. A larger fuse lets a small fault inside burn through the case before anything opens.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import PvArray
from rigline.study.ahead import ahead_of
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "rt-ocpd-over-device"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each component with more ahead than its maker allows, and each solar string with too large a fuse."""
    for id, component in sorted(study.system.components.items()):
        if component.max_protection_a is not None:
            yield from _ahead(study, id, component.max_protection_a)
        if isinstance(component, PvArray) and component.max_series_fuse_a is not None:
            yield from _string(study, component, component.max_series_fuse_a)


def _ahead(study: Study, id: str, most_a: float) -> Iterator[Hit | Missing]:
    for one in ahead_of(study, id):
        # Without any device the wire is unprotected, which is another rule.
        if exceeds(one.amps_a, most_a) and not math.isinf(one.amps_a):
            yield _hit(study, (*one.devices, id), one.amps_a, most_a, (one.run,))
        elif exceeds(one.loose_a, most_a) and one.unknown and not math.isinf(one.amps_a):
            yield Missing((id,), ", ".join(one.unknown))


def _string(study: Study, array: PvArray, most_a: float) -> Iterator[Hit]:
    if array.string_fuse_a is not None and exceeds(array.string_fuse_a, most_a):
        yield _hit(study, (array.id,), array.string_fuse_a, most_a, ())
    if array.parallel > 1:
        return
    for exposure, end in study.ends_at.get(array.id, ()):
        own = {stop.component for stop in study.system.run(exposure.conductor.run).stops}
        for device in exposure.other(end).devices:
            rating = study.rating_a(device)
            if device in own and rating is not None and exceeds(rating, most_a):
                yield _hit(study, (device, array.id), rating, most_a, (exposure.conductor.run,))


def _hit(study: Study, at: tuple[str, ...], found_a: float, most_a: float, runs: tuple[str, ...]) -> Hit:
    part = study.system.components[at[-1]].display
    devices = ", ".join(study.system.components[id].display for id in at[:-1]) or f"The string fuse of {part}"
    verb = "let" if len(at) > 2 else "lets"
    words = {"part": part, "devices": f"{devices} {verb}"}
    return Hit(at, found_a, most_a, "A", runs, words=words, field="rating" if at[:-1] else "string-fuse")


CHECK = Check(
    slug=SLUG,
    title="overcurrent device larger than a component allows ahead of it",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="At most the maker's largest fuse or breaker (`max-protection`); for solar strings the module's series fuse.",
    exceptions="A component with a fuse of its own inside needs no `max-protection`.",
    sources=(Source("NEC 110.3(B), 422.11 and 690.9(B)", "from memory"),),
    message=(
        "{devices} {found} A through to {part}, whose maker allows at most {limit} A ahead of it: a fault inside it "
        "could burn without opening the fuse."
    ),
    remedy="Fit {limit} A or less right ahead of {part}, in its own branch.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A refrigerator with the fuse its maker names
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 15 A}
  FR1: {kind: dc-load, name: Refrigerator, power: 60 W, continuous: false, max-protection: 15 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, FR1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="rating: 15 A",
        failing="rating: 20 A",
        finds=("F1", "FR1"),
    ),
)
