"""The earth wire of a circuit must carry the fault until the breaker opens.

If it is much thinner than the live wire, it heats faster than the breaker trips, burns its insulation against the live
wire beside it, and may break, leaving the case live.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.model.system import EARTH, HOT_LEGS
from rigline.standards.bonding import egc_minimum
from rigline.standards.wire import CMIL_COMPARISON_FRAC
from rigline.study.study import SegmentStudy, Study

SLUG = "gb-egc-size"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each AC run whose earth core is below the least size for the device ahead, once."""
    seen: set[str] = set()
    for one in study.segments:
        said = _judge(study, one) if one.segment.medium == "ac" else None
        if said is not None and one.segment.run not in seen:
            seen.add(one.segment.run)
            yield said


def _judge(study: Study, one: SegmentStudy) -> Hit | Missing | None:
    cores = {conductor.pole: conductor for conductor in one.segment.conductors}
    hot = next((cores[leg] for leg in HOT_LEGS if leg in cores), None)
    if hot is None or EARTH not in cores or not one.protected_by:
        return None
    line, earth = study.wiring.size(hot), study.wiring.size(cores[EARTH])
    if line is not None and earth is not None and earth.area_mm2 >= line.area_mm2:
        return None
    ratings = [rating for id in one.protected_by if (rating := study.rating_a(id)) is not None]
    if line is None or earth is None or len(ratings) < len(one.protected_by):
        lacking = "wire size" if line is None or earth is None else "rating of the device ahead"
        return Missing((one.segment.run,), lacking)
    least = egc_minimum(study.profile, max(ratings), line)
    if least is None or earth.area_mm2 >= least.size.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
        return None
    words = {"wire": str(earth), "least": str(least.size), "device": f"{max(ratings):g}", "run": one.segment.run}
    found, limit = earth.area_mm2, least.size.area_mm2
    ids = (one.segment.end.component,)
    return Hit(ids, found, limit, "mm²", (one.segment.run,), one.segment.id, words=words)


CHECK = Check(
    slug=SLUG,
    title="earth wire of an AC circuit too thin",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit=(
        "By the device ahead: 15 A 14 AWG, 20 A 12, 60 A 10, 100 A 8 AWG; it need not be thicker than the live wire. "
        "IEC: as thick as the live wire up to 16 mm²."
    ),
    exceptions="Cords with plugs from a factory, which a spec does not list.",
    sources=(
        Source("NEC Table 250.122", "verified"),
        Source("IEC 60364-5-54 Table 54.2", "from memory"),
    ),
    message=(
        "The earth core of {run} to {at} is {wire}; behind {device} A at least {least} is needed. A fault could burn "
        "it before the device opens."
    ),
    remedy="Replace the earth core of {run} with {least} or thicker.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper on shore power with an earth core of full size
profile: us-rv
body: metal
defaults: {insulation: 75 °C}
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [1 m, 100 mm], wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, earth-wire: 12 AWG}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="earth-wire: 12 AWG",
        failing="earth-wire: 14 AWG",
        finds=("QA",),
    ),
)
