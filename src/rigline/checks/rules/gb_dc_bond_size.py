"""The bond carries the whole current of a fault until the fuse opens.

When the thickest positive cable touches metal, everything the battery can push comes back through the bond. A thin
bond burns first: the fault stays, now without a way back, and the burning wire is an ignition source of its own.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.earthing import EarthElectrode
from rigline.standards.bonding import SizeMinimum, dc_electrode_minimum
from rigline.standards.wire import CMIL_COMPARISON_FRAC
from rigline.study.grounding import Bond, EarthPath
from rigline.study.study import Study

SLUG = "gb-dc-bond-size"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bond of a battery system whose thinnest wire is below the least size."""
    grounding = study.grounding
    for bond in grounding.bonds:
        island = next((group for group in grounding.dc_islands if bond.dc in group), None)
        path = grounding.bond_path(bond) if bond.runs and island is not None else None
        if island is None or path is None or path.thinnest is None:
            continue
        largest = grounding.largest_positive(island)
        if path.area_mm2 is None or largest is None:
            lacking = f"wire size of {path.thinnest.run}" if largest else "size of the battery's positive"
            yield Missing((path.thinnest.run,), lacking)
            continue
        target = study.system.components[path.target.component]
        made = isinstance(target, EarthElectrode) and target.type != "foundation"
        least = dc_electrode_minimum(study.profile, largest, made)
        if least is not None and path.area_mm2 < least.size.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
            yield _hit(study, bond, path, path.area_mm2, least)


def _hit(study: Study, bond: Bond, path: EarthPath, area_mm2: float, least: SizeMinimum) -> Hit:
    assert path.thinnest is not None
    return Hit(
        at=(bond.dc.component,),
        found=area_mm2,
        limit=least.size.area_mm2,
        unit="mm²",
        runs=(path.thinnest.run,),
        segment=path.thinnest.segment,
        words={"wire": str(study.grounding.size(path.thinnest)), "least": str(least.size), "rule": least.rule},
    )


CHECK = Check(
    slug=SLUG,
    title="DC bond thinner than the fault current needs",
    family="grounding & bonding",
    severity=Severity.FAULT,
    limit=(
        "RVs: as large as the battery's positive, at least 8 AWG. US boats: not more than one size below the largest "
        "positive. US cabins: as the largest conductor, 3/0 AWG is enough (6 AWG to a rod alone), at least 8 AWG. "
        "Elsewhere: by the area of the positive, as for protective conductors."
    ),
    exceptions="Bonds of systems without a battery, which a converter alone feeds.",
    sources=(
        Source("NEC 552.10(C)", "verified"),
        Source("ABYC A-31", "verified"),
        Source("NEC 250.166; IEC 60364-5-54 Table 54.2", "from memory"),
    ),
    message=(
        "The bond of {at} is {wire} ({runs}); {least} is the least ({rule}). In a short to metal the bond could burn "
        "before the fuse opens."
    ),
    remedy="Replace {runs} with {least} or thicker.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Trailer battery with a bond as thick as its positive
profile: us-rv
body: metal
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1 kA, vented: true}
  F1: {kind: fuse, style: terminal, rating: 50 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  LT1: {kind: dc-load, name: Heater fan, power: 400 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [B1, F1, Q1, LT1], lengths: [100 mm, 300 mm, 1 m], wire: 6 AWG, insulation: 105 °C}
  - {id: W2, path: [B1-, FR1], length: 0.5 m, carries: bond, wire: 4 AWG, insulation: 105 °C}
""",
        passing="wire: 4 AWG",
        failing="wire: 8 AWG",
        finds=("B1",),
    ),
)
