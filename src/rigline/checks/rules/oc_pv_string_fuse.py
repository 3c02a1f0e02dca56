"""When one string of a solar array fails, the others push their current backwards through it. Two strings can do no
harm, for one gives no more than a module is built to carry.

From three strings on, the sum may exceed what the module's maker allows, and the module burns from inside.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.kinds.sources import PvArray
from rigline.standards.ratings import next_rating_up, standard_ratings
from rigline.study.causes import exceeds
from rigline.study.demand import IRRADIANCE_FACTOR
from rigline.study.protection import EndFlow
from rigline.study.study import Study

SLUG = "oc-pv-string-fuse"
SEVERE_FRAC = 2.0
"""Reverse current above this share of the module's fuse is a danger. Common practice."""
FUSE_FRAC = IRRADIANCE_FACTOR**2
"""Least string fuse over short-circuit current: 1.25 for bright days and 1.25 for hours (NEC 690.8, 690.9(B))."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each array whose strings the other strings, or the battery, can feed backwards too hard."""
    said: set[str] = set()
    for id, array in sorted(study.system.components.items()):
        if isinstance(array, PvArray):
            for found in _array(study, array):
                said.add(id)
                yield found
    for hit in exposed_hits(study, SLUG):
        if isinstance(hit, Hit) and not said & set(hit.at):
            said.update(hit.at)
            words = {**hit.words, "size": "a suitable rating"}
            yield Hit(hit.at, hit.found, hit.limit, "A", hit.runs, hit.segment, words=words)


def _array(study: Study, array: PvArray) -> Iterator[Hit | Missing]:
    outside = [exposure.other(end) for exposure, end in study.ends_at.get(array.id, ())]
    if array.parallel == 1 and not any(end.is_fed for end in outside):
        return
    missing = _missing(array, outside)
    if missing:
        yield Missing((array.id,), ", ".join(missing))
        return
    reverse = _reverse_a(array, outside)
    limit = array.max_series_fuse_a or 0.0
    if exceeds(reverse, limit):
        severity = Severity.DANGER if exceeds(reverse, SEVERE_FRAC * limit) else Severity.FAULT
        yield Hit((array.id,), reverse, limit, "A", severity=severity, words={"size": _size(array, limit)})


def _missing(array: PvArray, outside: list[EndFlow]) -> list[str]:
    facts = {"isc": array.isc_a, "max-series-fuse": array.max_series_fuse_a}
    found = [key for key, value in facts.items() if value is None]
    if array.combiner and array.string_fuse_a is None and array.parallel > 1:
        found.append("string-fuse")
    return found + sorted({fact for end in outside for fact in end.unknown})


def _reverse_a(array: PvArray, outside: list[EndFlow]) -> float:
    """What the other strings, and what lies beyond the array, can push into one string."""
    own = (array.parallel - 1) * IRRADIANCE_FACTOR * (array.isc_a or 0.0)
    return min(own + sum(end.flow_a for end in outside), array.string_fuse_a or inf)


def _size(array: PvArray, most: float) -> str:
    least = FUSE_FRAC * (array.isc_a or 0.0)
    fitting = next_rating_up(least, standard_ratings("gpv"))
    if fitting is not None and not exceeds(fitting, most):
        return f"{fitting:g} A (at least {least:.3g} A, at most {most:g} A)"
    return f"at least {least:.3g} A and at most {most:g} A"


CHECK = Check(
    slug=SLUG,
    title="parallel solar strings without string fuses",
    family="overcurrent",
    severity=Severity.FAULT,
    limit=(
        "What the other strings can push back, 1.25 times their short-circuit current together, is at most the "
        "module's largest series fuse. A string fuse is at most that too."
    ),
    exceptions=(
        "As many strings as the formula allows, usually two (NEC 690.9(A), exception). A controller that does not "
        "block reverse current adds the battery."
    ),
    sources=(
        Source("NEC 690.9(A)", "verified"),
        Source("IEC 60364-7-712 and IEC 62548", "from memory"),
    ),
    message=(
        "{at}: {found} {unit} can flow backwards into one string, but its modules may have at most {limit} "
        "{unit} in series."
    ),
    remedy="Fit a DC fuse of {size} in each string, in a combiner.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Three solar strings in parallel
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA,
       charge-display: true, max-charge: 80 A}
  F1: {kind: fuse, style: anl, rating: 100 A}
  SC1: {kind: charge-controller, output: 80 A, max-input: 75 V}
  PV1: {kind: pv-array, series: 2, parallel: 3, pmax: 160 W, vmp: 18 V, imp: 8.9 A, voc: 21.8 V, isc: 9.8 A,
        max-series-fuse: 20 A, frame: none, disconnect: true, combiner: true, string-fuse: 20 A}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, SC1.battery], lengths: [100 mm, 0.8 m], wire: 4 AWG}
  - {id: W2, path: [PV1, SC1.pv], length: 2 m, wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing=", combiner: true, string-fuse: 20 A",
        failing="",
        finds=("PV1",),
    ),
)
