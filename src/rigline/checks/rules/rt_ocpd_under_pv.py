"""Sun on snow gives more than a module's label says, for hours.

A fuse chosen for the rated current of the array ages in the heat of a roof box and opens on the best days of the year.
Two factors of 1.25 cover bright skies and continuous load.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing
from rigline.findings import Severity
from rigline.kinds.devices import Overcurrent
from rigline.kinds.sources import PvArray
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "rt-ocpd-under-pv"
LASTING = 1.25
"""Factor for what lasts three hours or more. Source: NEC 690.9(B)."""
US_FACTOR = 1.5625
"""Device over short-circuit current: 1.25 for bright skies, 1.25 for lasting load. Source: NEC 690.8 and 690.9(B)."""
IEC_FACTOR = 1.4
"""The same for string fuses under IEC rules, lowest of 1.4 to 1.5. Source: makers' selection charts for gPV fuses."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device in a solar circuit, and each string fuse, below the current it must carry."""
    if study.unsound:
        yield from currents_missing(study)
        return
    factor = US_FACTOR if study.profile.name.startswith("us-") else IEC_FACTOR
    for id, circuit in study.circuits.items():
        device, rating = study.system.components[id], study.rating_a(id)
        if circuit.solar and rating is not None:
            needed = circuit.needed_a / US_FACTOR * factor
            if isinstance(device, Overcurrent) and device.full_duty:
                needed /= LASTING
            if exceeds(needed, rating):
                yield Hit((id,), rating, needed, "A", words={"factor": f"{factor:.3g}"}, field="rating")
        elif circuit.solar:
            yield Missing((id,), f"rating of {id}")
    for id, array in sorted(study.system.components.items()):
        if not isinstance(array, PvArray) or array.string_fuse_a is None or array.isc_a is None:
            continue
        if exceeds(factor * array.isc_a, array.string_fuse_a):
            words = {"factor": f"{factor:.3g}"}
            yield Hit((id,), array.string_fuse_a, factor * array.isc_a, "A", words=words, field="string-fuse")


CHECK = Check(
    slug=SLUG,
    title="overcurrent device too small for its solar array",
    family="overcurrent",
    severity=Severity.FAULT,
    limit="At least 1.56 times the short-circuit current of the strings it carries; under IEC rules 1.4 times.",
    exceptions="Devices listed for 100 % duty: 1.25 times.",
    sources=(Source("NEC 690.8 and 690.9(B)", "verified"), Source("IEC 62548, string fuses", "from memory")),
    message=(
        "{at} is rated {found} A, but bright sun needs {limit} A ({factor} times the short-circuit current): it "
        "opens at noon."
    ),
    remedy="Fit {at} with {limit} A or more, if the modules' series fuse and the wire allow it.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A solar module with its breaker
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A, max-charge: 20 A}
  F1: {kind: fuse, style: blade, rating: 30 A}
  PV1: {kind: pv-array, vmp: 36 V, voc: 44 V, isc: 9.8 A, max-series-fuse: 20 A, frame: none}
  Q1: {kind: breaker, rating: 20 A, voltage: 150 V, poles: 2, interrupting: 3 kA, dc-rated: true}
  SC1: {kind: charge-controller, max-input: 100 V, output: 20 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, Q1, SC1], lengths: [2 m, 1 m], wire: 10 AWG, insulation-voltage: 600 V}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 10 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="rating: 20 A",
        failing="rating: 15 A",
        finds=("Q1",),
    ),
)
