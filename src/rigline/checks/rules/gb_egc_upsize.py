"""Whoever makes a circuit thicker against voltage loss has a long circuit, and its earth wire is as long.

A fault at the far end must open the breaker through that wire. If only the live wire grew, the earth wire's resistance
holds the fault current down, and the breaker takes its time.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import EARTH, HOT_LEGS
from rigline.standards.bonding import egc_minimum
from rigline.standards.wire import CMIL_COMPARISON_FRAC, parse_wire_size
from rigline.study.study import SegmentStudy, Study

SLUG = "gb-egc-upsize"
ENOUGH = ((15, "14 AWG"), (20, "12 AWG"), (30, "10 AWG"), (40, "8 AWG"), (55, "6 AWG"), (70, "4 AWG"), (95, "2 AWG"))
"""Largest device and the wire that is enough for it. Source: NEC 240.4(D) and Table 310.16, 60 °C, from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each AC run whose live wire was enlarged and whose earth core was not enlarged with it."""
    seen: set[str] = set()
    for one in study.segments:
        said = _judge(study, one) if one.segment.medium == "ac" else None
        if said is not None and one.segment.run not in seen:
            seen.add(one.segment.run)
            yield said


def _judge(study: Study, one: SegmentStudy) -> Hit | None:
    cores = {conductor.pole: conductor for conductor in one.segment.conductors}
    hot = next((cores[leg] for leg in HOT_LEGS if leg in cores), None)
    ratings = [rating for id in one.protected_by if (rating := study.rating_a(id)) is not None]
    if hot is None or EARTH not in cores or not ratings or len(ratings) < len(one.protected_by):
        return None  # gb-egc-size asks for what is missing.
    line, earth = study.wiring.size(hot), study.wiring.size(cores[EARTH])
    enough = next((parse_wire_size(size) for most, size in ENOUGH if max(ratings) <= most), None)
    if line is None or earth is None or enough is None or line.area_mm2 <= enough.area_mm2 * (1 + CMIL_COMPARISON_FRAC):
        return None
    plain = egc_minimum(study.profile, max(ratings), line)
    grown = egc_minimum(study.profile, max(ratings), line, enough)
    kept = 1 - CMIL_COMPARISON_FRAC
    if plain is None or grown is None or earth.area_mm2 < plain.size.area_mm2 * kept:
        return None  # Too thin even for the plain circuit: gb-egc-size.
    if earth.area_mm2 >= grown.size.area_mm2 * kept:
        return None
    words = {"earth": str(earth), "line": str(line), "enough": str(enough), "least": str(grown.size)}
    run = one.segment.run
    return Hit((run,), earth.area_mm2, grown.size.area_mm2, "mm²", (run,), one.segment.id, words=words)


CHECK = Check(
    slug=SLUG,
    title="earth wire that did not grow with its circuit",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit="Where the live wire is thicker than its device asks for, the earth wire grows in proportion.",
    exceptions="An earth wire as thick as the live wire.",
    sources=(Source("NEC 250.122(B)", "from memory"),),
    message=(
        "The live wire of {at} was enlarged from {enough} to {line}, and its earth stayed {earth} ({found} mm²): "
        "{least} ({limit} mm²) is the least."
    ),
    remedy="Run the earth of {at} in {least} or thicker.",
    find=find,
    profiles=("us-cabin", "us-rv"),
    example=Example(
        spec="""\
rigline: 1
title: Cabin with a far workshop
profile: us-cabin
body: wood
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: none, internal-breaker: 20 A}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-bond: fixed}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  HT1: {kind: ac-load, name: Heater, power: 1200 W, continuous: false}
  ER1: {kind: earth-electrode, type: rod, count: 2}
runs:
  - {id: W1, path: [GEN1, ACP1], length: 2 m, wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, HT1], lengths: [100 mm, 25 m], wire: 8 AWG, earth-wire: 8 AWG}
  - {id: W3, path: [ACP1, ER1], length: 1 m, carries: earth, wire: 6 AWG}
  - {id: W4, path: [GEN1.case, ER1], length: 1 m, carries: earth, wire: 6 AWG}
""",
        passing="earth-wire: 8 AWG",
        failing="earth-wire: 12 AWG",
        finds=("W2",),
    ),
)
