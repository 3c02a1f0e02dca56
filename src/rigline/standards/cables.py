"""What a cable weighs, how thick it is, which stud its lug usually fits, and what a flexible cord may carry.

These are figures for ordering and for fitting into a locker. They are typical, so a bought cable's own data come first.
"""

from __future__ import annotations

from msgspec import Struct

from rigline.standards.ampacity import Ampacity, NoAmpacity, row_for
from rigline.standards.tables import Sure, table
from rigline.standards.wire import WireSize


class CableBody(Struct, frozen=True):
    """A single-core cable: its outside diameter and mass, each None where no figure is at hand."""

    outside_mm: float | None
    mass_kg_per_km: float | None
    sure: Sure
    source: str


def single_core(size: WireSize) -> CableBody | None:
    """A single-core cable of a size: H07V-K for metric sizes, boat cable for AWG; None for a size not listed.

    The mass of AWG cable is that of its bare copper: insulation adds a tenth to a third.
    """
    figures = table("cable_metric" if size.is_metric else "cable_awg")
    if size.text not in figures.rows:
        return None
    outside, mass = (
        ("single_outside_most", "single_mass") if size.is_metric else ("boat_cable_outside", "bare_copper_mass")
    )
    source = figures.source
    return CableBody(figures.number(size.text, outside), figures.number(size.text, mass), source.sure, source.cite)


STUD_RANGE_FRAC = 0.93
"""Up to 7 % above a metric range its lugs still fit: 1/0 AWG (53.5 mm²) those of 50 mm². Source: common practice."""

SMALLEST_LUG_MM2 = 1.5
"""Smallest metric size of the lug table; 16 AWG (1.3 mm²) takes its lugs. Source: common practice."""

SMALLEST_WIRE_MM2 = 1.2
"""Wire thinner than 16 AWG takes a crimp terminal, not a tube lug. Source: common practice."""


def usual_studs(size: WireSize) -> tuple[str, ...]:
    """Studs that copper tube lugs of a size are usually sold for, as "M8"; empty outside 16 AWG to 150 mm².

    Between two metric ranges the larger one counts. Source: common practice.
    """
    figures = table("lug_stud")
    area_mm2 = max(size.area_mm2 * STUD_RANGE_FRAC, SMALLEST_LUG_MM2)
    key = figures.key_spanning(area_mm2) if size.area_mm2 > SMALLEST_WIRE_MM2 else None
    studs = figures.cell(key, "usual_studs")
    return tuple(stud for stud in studs if isinstance(stud, str)) if isinstance(studs, tuple) else ()


def cord_ampacity(size: WireSize, conductors: int) -> Ampacity | NoAmpacity:
    """What a flexible cord may carry with two or three current-carrying conductors, at 30 °C. Source: NEC 400.5(A)(1).

    The neutral of a 120/240 V cord carries only the unbalance and isn't counted.
    """
    figures = table("nec_400_5_a1")
    key = row_for(figures, size)
    column = "two_conductors" if conductors <= 2 else "three_conductors"
    value_a = figures.number(key, column) if conductors <= 3 else None
    if key is None or value_a is None:
        return NoAmpacity(f"{size} with {conductors} conductors lies outside {figures.source.cite}")
    return Ampacity(value_a, value_a, (), figures.source.cite, figures.sure_of(key))


def caravan_lead_least_mm2(rated_a: float) -> float | None:
    """Least copper area of a 25 m connecting lead of a caravan by its rated current; None above 100 A.

    Source: IEC 60364-7-721.
    """
    figures = table("caravan_lead")
    return figures.number(figures.key_reaching(rated_a), "least_area")
