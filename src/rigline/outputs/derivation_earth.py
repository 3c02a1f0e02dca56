"""What the size of a bond or earth wire follows from: it carries nothing until something is wrong."""

from __future__ import annotations

from collections.abc import Iterator

from rigline.outputs.derivation_text import Line, ohms_text
from rigline.standards.bonding import SizeMinimum, dc_bond_minimum
from rigline.study.study import SegmentStudy, Study
from rigline.units import format_amount


def earth_lines(study: Study, one: SegmentStudy) -> Iterator[Line]:
    """A wire that carries no current in normal use."""
    if one.segment.carries in ("sense", "data"):
        yield Line("", "It carries a signal and no current that its size depends on.")
        return
    yield Line("", "It carries no current in normal use, and a fault's whole current until a device opens.")
    conductor = one.segment.conductors[0]
    if one.size is not None and conductor.length_m is not None:
        ohm = study.wiring.resistance_ohm(conductor, 20.0)
        yield Line("Resistance", f"{ohms_text(ohm)}: {format_amount(conductor.length_m, 'm')} of {one.size} at 20 °C")
    for id, least in _bond_minimum(study, one):
        sure = "" if least.sure == "verified" else f" ({least.sure})"
        yield Line("Least", f"{least.size}, to bond {id}: {least.rule}. {least.source}{sure}")


def _bond_minimum(study: Study, one: SegmentStudy) -> Iterator[tuple[str, SizeMinimum]]:
    """The least size of the DC bonds that the wire makes."""
    for bond in study.grounding.bonds:
        if one.segment.run not in bond.runs:
            continue
        island = next((group for group in study.grounding.dc_islands if bond.dc in group), None)
        largest = None if island is None else study.grounding.largest_positive(island)
        least = None if largest is None else dc_bond_minimum(study.profile, largest)
        if least is not None:
            yield bond.dc.component, least
