"""The least size of a conductor that carries current only when something has gone wrong.

An equipment grounding conductor must live long enough to open the device ahead, whatever the load; a bond between the
negative and the chassis must carry what a chafed positive sends through it. Colour and routing are for others.
"""

from __future__ import annotations

from msgspec import Struct

from rigline.standards.ampacity import weakest
from rigline.standards.profiles import Profile, SizeLimit
from rigline.standards.tables import Sure, Table, table
from rigline.standards.wire import (
    CMIL_COMPARISON_FRAC,
    WireSize,
    one_size_smaller,
    parse_wire_size,
    size_at_least,
)

ROD_CONDUCTOR = parse_wire_size("6 AWG")
"""A conductor to a rod, pipe or plate alone need not be larger. Source: NEC 250.66(A)."""

LARGEST_DC_ELECTRODE_CONDUCTOR = parse_wire_size("3/0 AWG")
"""A DC electrode conductor need not be larger. Source: NEC 250.166(B), from memory."""

LEAST_EARTHING_CONDUCTOR = parse_wire_size("6 mm²")
"""Least copper earthing conductor, protected against corrosion. Source: IEC 60364-5-54 542.3.1, from memory."""


class SizeMinimum(Struct, frozen=True):
    """The least size allowed, the rule that set it in a few words, and the rule's source."""

    size: WireSize
    rule: str
    source: str
    sure: Sure


def egc_minimum(
    profile: Profile, device_a: float, circuit_size: WireSize, required_size: WireSize | None = None
) -> SizeMinimum | None:
    """Least equipment grounding (protective earth) conductor of a circuit; None above the table.

    Args:
        device_a: Rating of the overcurrent device ahead; between two rows the larger row counts.
        circuit_size: Line conductors of the circuit. The grounding conductor need not be larger.
        required_size: The line size that would have been enough, where a larger one was chosen: the grounding
            conductor then grows in proportion (NEC 250.122(B)), compared within 0.5 %.

    >>> from rigline.standards.profiles import profile
    >>> egc_minimum(profile("us-cabin"), 50, parse_wire_size("6 AWG")).size.text
    '10 AWG'
    """
    if profile.earthing_conductor.value == "iec-60364-5-54":
        return _protective_conductor(circuit_size)
    figures = table("nec_250_122")
    key = figures.key_reaching(device_a)
    size_text = figures.text(key, "copper")
    if size_text is None:
        return None
    size, rule = parse_wire_size(size_text), f"device up to {key:g} A"
    if required_size is not None and circuit_size.area_mm2 > required_size.area_mm2 * (1 + CMIL_COMPARISON_FRAC):
        grown = size_at_least(size.area_mm2 * circuit_size.area_mm2 / required_size.area_mm2, usual_only=False)
        size, rule = grown or circuit_size, f"{rule}, grown with the line conductors (250.122(B))"
    if size.area_mm2 > circuit_size.area_mm2 * (1 + CMIL_COMPARISON_FRAC):
        size, rule = circuit_size, "need not be larger than the line conductors (250.122(A))"
    return _minimum(size, rule, figures, profile.earthing_conductor.sure)


def _minimum(size: WireSize, rule: str, figures: Table, *marks: Sure) -> SizeMinimum:
    return SizeMinimum(size, rule, figures.source.cite, weakest([figures.source.sure, *marks]))


def _protective_conductor(line: WireSize) -> SizeMinimum | None:
    """By the area of the line conductor: equal up to 16 mm², 16 mm² up to 35 mm², then half."""
    figures = table("iec_protective_conductor")
    key = figures.key_spanning(line.area_mm2)
    share, least = figures.number(key, "times_line_area"), figures.number(key, "least_area")
    if share == 1:
        return _minimum(line, "as large as the line conductor", figures)
    if least is not None:
        area_mm2, rule = least, f"{least:g} mm² for a line of {line}"
    elif share is not None:
        area_mm2, rule = share * line.area_mm2, "half the area of the line conductor"
    else:
        return None
    size = size_at_least(area_mm2, "mm2" if line.is_metric else "awg")
    return None if size is None else _minimum(size, rule, figures)


def gec_minimum(profile: Profile, largest_line: WireSize, *, rod_only: bool = False) -> SizeMinimum | None:
    """Least grounding electrode (earthing) conductor by the largest line conductor; for parallel sets give their sum.

    >>> from rigline.standards.profiles import profile
    >>> gec_minimum(profile("us-cabin"), parse_wire_size("2/0 AWG")).size.text
    '4 AWG'
    """
    if profile.earthing_conductor.value == "iec-60364-5-54":
        return _earthing_conductor(largest_line)
    figures = table("nec_250_66")
    needed_mm2 = largest_line.area_mm2 * (1 - CMIL_COMPARISON_FRAC)
    sizes = [parse_wire_size(str(key)) for key in figures.rows]
    key = next((size.text for size in sizes if size.area_mm2 >= needed_mm2), None)
    size_text = figures.text(key, "copper")
    if size_text is None:
        return None
    size = parse_wire_size(size_text)
    if rod_only and size.area_mm2 > ROD_CONDUCTOR.area_mm2:
        return _minimum(ROD_CONDUCTOR, "to a rod, pipe or plate alone (250.66(A))", figures)
    return _minimum(size, f"line conductors up to {key}", figures)


def _earthing_conductor(largest_line: WireSize) -> SizeMinimum | None:
    found = _protective_conductor(largest_line)
    if found is None or found.size.area_mm2 >= LEAST_EARTHING_CONDUCTOR.area_mm2:
        return found
    return SizeMinimum(LEAST_EARTHING_CONDUCTOR, "least earthing conductor", "IEC 60364-5-54 542.3.1", "from memory")


def dc_bond_minimum(profile: Profile, largest_positive: WireSize) -> SizeMinimum | None:
    """Least conductor from the DC negative to chassis, hull ground or electrode, by the largest positive conductor.

    >>> from rigline.standards.profiles import profile
    >>> dc_bond_minimum(profile("us-boat"), parse_wire_size("2/0 AWG")).size.text
    '1/0 AWG'
    """
    choice = profile.dc_bond
    if choice.value == "as-largest-positive":
        found = SizeMinimum(largest_positive, "as large as the largest positive", choice.source, choice.sure)
    elif choice.value == "one-size-smaller":
        smaller = one_size_smaller(largest_positive) or largest_positive
        found = SizeMinimum(smaller, "one size smaller than the largest positive", choice.source, choice.sure)
    elif choice.value == "dc-electrode":
        size = min(largest_positive, LARGEST_DC_ELECTRODE_CONDUCTOR, key=lambda each: each.area_mm2)
        found = SizeMinimum(size, "as large as the largest conductor, 3/0 AWG is enough", choice.source, choice.sure)
    else:
        by_area = _protective_conductor(largest_positive)
        if by_area is None:
            return None
        found = SizeMinimum(by_area.size, by_area.rule, choice.source, choice.sure)
    return _at_least(profile.dc_bond_min, found)


def dc_electrode_minimum(profile: Profile, largest_positive: WireSize, made: bool) -> SizeMinimum | None:
    """Least conductor from a DC system to an earth electrode; to a rod, pipe or plate no more than such a one can use.

    Source: NEC 250.166(B) and (C), from memory.
    """
    least = dc_bond_minimum(profile, largest_positive)
    if least is None or profile.dc_bond.value != "dc-electrode" or not made:
        return least
    if least.size.area_mm2 <= ROD_CONDUCTOR.area_mm2:
        return least
    return SizeMinimum(ROD_CONDUCTOR, "enough to a rod alone", "NEC 250.166(C)", "from memory")


def _at_least(least: SizeLimit, found: SizeMinimum) -> SizeMinimum:
    if found.size.area_mm2 >= least.size.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
        return found
    return SizeMinimum(least.size, "least size of a DC bond", least.source, least.sure)


def inverter_case_minimum(profile: Profile, dc_positive: WireSize, dc_device_a: float) -> SizeMinimum | None:
    """Least conductor from the metal case of an inverter or charger, by its DC positive and the device ahead.

    Boats: one size below the positive. Elsewhere: the table of grounding conductors by the device; RVs at least 8 AWG.
    """
    if profile.dc_bond.value == "one-size-smaller":
        return dc_bond_minimum(profile, dc_positive)
    found = egc_minimum(profile, dc_device_a, dc_positive)
    return found if found is None or profile.name != "us-rv" else _at_least(profile.dc_bond_min, found)
