"""A battery cable that touches an inverter's metal case sends the battery's whole current into the case wire.

An earth wire sized for the AC outlet glows long before the big DC fuse opens. The case wire must be able to open that
fuse: nearly as thick as the battery cable, or sized for the fuse.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.model.system import POSITIVE, Conductor, Node
from rigline.standards.ampacity import Ampacity
from rigline.standards.bonding import inverter_case_minimum
from rigline.standards.wire import CMIL_COMPARISON_FRAC, WireSize
from rigline.study.grounding import EarthPath
from rigline.study.study import Study

SLUG = "gb-inverter-case-size"
CASE_FUSE_FRAC = 1.35
"""Largest DC fuse over the ampacity of the case wire, on boats. Source: ABYC A-31."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inverter whose metal case is not earthed, or by too thin a wire for its DC fuse."""
    for id, inverter in sorted(study.system.components.items()):
        if isinstance(inverter, Inverter) and inverter.metal_case is not False and not inverter.class_ii:
            feed = next((c for c in study.graph.conductors_at(Node(id, "dc", POSITIVE)) if c.pole == POSITIVE), None)
            if feed is not None:
                yield from _judge(study, id, feed)


def _judge(study: Study, id: str, feed: Conductor) -> Iterator[Hit | Missing]:
    path, positive = study.grounding.case_path(id), study.wiring.size(feed)
    device = _device_a(study, feed)
    least = inverter_case_minimum(study.profile, positive, device or 0.0) if positive is not None else None
    if path is None:
        yield Hit((id,), words={"found_words": "is not earthed", "least": str(least.size) if least else f"{positive}"})
    elif positive is None or path.area_mm2 is None or device is None or least is None:
        yield Missing((id,), _missing(path, positive, device))
    elif path.area_mm2 < least.size.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
        yield _hit(study, id, path, path.area_mm2, least.size)
    elif study.profile.dc_bond.value == "one-size-smaller":
        yield from _carries_fuse(study, id, path, device, positive)


def _device_a(study: Study, feed: Conductor) -> float | None:
    """Rating of the device ahead of an inverter's DC input; None if there is none, or it is not known."""
    protectors = next(s.protected_by for s in study.segments if s.segment.id == feed.segment)
    ratings = [study.rating_a(device) for device in protectors]
    return max((rating for rating in ratings if rating is not None), default=None)


def _missing(path: EarthPath, positive: WireSize | None, device: float | None) -> str:
    if positive is None:
        return "size of the DC positive"
    if path.area_mm2 is None and path.thinnest is not None:
        return f"wire size of {path.thinnest.run}"
    return "rating of the DC fuse" if device is None else "least earth wire for so large a device"


def _hit(study: Study, id: str, path: EarthPath, area_mm2: float, least: WireSize) -> Hit:
    assert path.thinnest is not None
    wire = f"has {study.grounding.size(path.thinnest)} to earth ({path.thinnest.run})"
    return Hit(
        at=(id,),
        found=area_mm2,
        limit=least.area_mm2,
        unit="mm²",
        runs=(path.thinnest.run,),
        segment=path.thinnest.segment,
        words={"found_words": wire, "least": str(least)},
    )


def _carries_fuse(study: Study, id: str, path: EarthPath, device_a: float, positive: WireSize) -> Iterator[Hit]:
    """Boats: the fuse is at most 135 % of the ampacity of the case wire."""
    thinnest = path.thinnest
    size = study.grounding.size(thinnest) if thinnest is not None else None
    if thinnest is None or size is None:
        return
    carried = study.limits.ampacity_of(study.wiring.run_of(thinnest), thinnest, size)
    if not isinstance(carried, Ampacity):
        return
    most_a = carried.value_a * CASE_FUSE_FRAC
    if device_a > most_a:
        wire = f"has {size} to earth ({thinnest.run}), enough for a fuse of {most_a:.4g} A, not for {device_a:g} A"
        words = {"found_words": wire, "least": str(positive)}
        yield Hit((id,), device_a, most_a, "A", (thinnest.run,), thinnest.segment, words=words)


CHECK = Check(
    slug=SLUG,
    title="inverter case earthed by too thin a wire",
    family="grounding & bonding",
    severity=Severity.DANGER,
    limit=(
        "US boats: not more than one size below the DC positive, and the DC fuse at most 135 % of its ampacity. "
        "Elsewhere: the table of earthing conductors by the DC fuse; RVs at least 8 AWG."
    ),
    exceptions="Cases that are not metal (`metal-case: false`) and double-insulated units (`class-ii: true`).",
    sources=(
        Source("ABYC A-31", "verified"),
        Source("NEC 551.20(C) and Table 250.122", "verified"),
        Source("IEC 60364-5-54 Table 54.2", "from memory"),
    ),
    message=(
        "The metal case of {at} {found_words}; {least} is needed. A battery cable that touches the case would burn the "
        "earth wire instead of opening the fuse."
    ),
    remedy="Earth the case of {at} with {least} to the chassis or the DC negative bus (`carries: earth`).",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper inverter with a thick case wire
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 2 kA, vented: true,
       charge-display: true, max-discharge: 150 A}
  F1: {kind: fuse, style: class-t, rating: 150 A}
  Q1: {kind: switch, rating: 275 A, voltage: 32 V}
  INV1: {kind: inverter, power: 1 kW, output: 120 V, efficiency: 90 %, neutral-bond: fixed}
  QA: {kind: breaker, rating: 15 A, poles: 1, voltage: 120 V}
  RC1: {kind: receptacle, rating: 15 A, gfci: true, power: 600 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, Q1, INV1.dc], lengths: [100 mm, 300 mm, 1 m], wire: 1/0 AWG, insulation: 105 °C}
  - {id: W2, path: [INV1.ac-out, QA, RC1], lengths: [100 mm, 2 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W3, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 1/0 AWG, insulation: 105 °C}
  - {id: W4, path: [INV1.case, FR1], length: 0.5 m, carries: earth, wire: 6 AWG, insulation: 105 °C}
""",
        passing="wire: 6 AWG",
        failing="wire: 8 AWG",
        finds=("INV1",),
    ),
)
