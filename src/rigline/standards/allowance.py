"""The largest overcurrent device that may protect a conductor of a known ampacity, under one rule set.

Rounding up to the next standard rating, caps on small wire and the 150 % rule of boats contradict each other between
rule sets; here each has one function. Whether a device stands where it should is no question for this module.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from rigline.standards.ampacity import Ampacity, weakest
from rigline.standards.profiles import Choice, Medium, Profile
from rigline.standards.ratings import RATING_TOLERANCE_FRAC, listed_ratings, next_rating_up
from rigline.standards.tables import Sure, size_area_mm2, table
from rigline.standards.wire import CMIL_COMPARISON_FRAC, Material, WireSize, parse_wire_size


class Allowance(Struct, frozen=True):
    """The greatest device rating allowed, the rule that set it in a few words, and the rule's source."""

    value_a: float
    rule: str
    source: str
    sure: Sure


def largest_device(
    profile: Profile,
    ampacity: Ampacity,
    size: WireSize,
    *,
    volts_v: float,
    medium: Medium = "dc",
    receptacles_many: bool = False,
    feeder: bool = False,
    ratings: Sequence[float] | None = None,
    material: Material = "copper",
) -> Allowance:
    """The largest device that may protect a conductor; a device of exactly this rating is allowed.

    Args:
        receptacles_many: The circuit feeds more than one receptacle, so NEC 240.4(B) allows no rounding up.
        feeder: Everything behind this conductor stands behind devices of at most its ampacity in sum, so a boat
            below 50 V may use the whole 150 % of 33 CFR 183.455(c)(1).
        ratings: The ratings to round up to, such as those of one fuse style; NEC 240.6(A) when not given.

    >>> from rigline.standards.ampacity import ampacity
    >>> from rigline.standards.profiles import profile
    >>> boat, wire = profile("us-boat"), parse_wire_size("2/0 AWG")
    >>> largest_device(boat, ampacity(boat, wire, volts_v=12), wire, volts_v=12).value_a
    350.0
    """
    low_voltage = profile.is_low_voltage_dc(medium, volts_v)
    case = _Case(
        profile,
        ampacity,
        profile.rounding_rule(medium, volts_v),
        listed_ratings() if ratings is None else ratings,
        receptacles_many,
        feeder and low_voltage,
    )
    allowed = _ROUNDINGS[case.rule.value](case)
    cap_table = _CAP_TABLES.get(profile.small_conductor_rule(medium, volts_v).value)
    cap = small_conductor_cap(cap_table, size, material) if cap_table else None
    return cap if cap is not None and cap.value_a < allowed.value_a else allowed


class _Case(Struct, frozen=True):
    profile: Profile
    ampacity: Ampacity
    rule: Choice
    ratings: Sequence[float]
    receptacles_many: bool
    feeder: bool

    @property
    def rounded_a(self) -> float | None:
        """The next standard rating above an ampacity that is none itself."""
        exact_a = self.ampacity.value_a
        if any(abs(exact_a - rating) <= rating * RATING_TOLERANCE_FRAC for rating in self.ratings):
            return None
        return next_rating_up(exact_a, self.ratings)

    def allow(self, value_a: float, rule: str) -> Allowance:
        return Allowance(value_a, rule, self.rule.source, weakest([self.ampacity.sure, self.rule.sure]))


def _not_above(case: _Case) -> Allowance:
    """The ampacity itself."""
    return case.allow(case.ampacity.value_a, "the ampacity")


def _next_standard(case: _Case) -> Allowance:
    """The next standard rating above an ampacity that is none, up to 800 A and not ahead of several receptacles."""
    rounded_a, most = case.rounded_a, case.profile.round_up_most_a
    if case.receptacles_many or rounded_a is None or (most is not None and rounded_a > most.value):
        return _not_above(case)
    return case.allow(rounded_a, "the next standard rating above the ampacity")


def _next_standard_within_150_percent(case: _Case) -> Allowance:
    """The next standard rating above an ampacity that is none, never above 150 % of it; a feeder the whole 150 %."""
    exact_a, rounded_a = case.ampacity.value_a, case.rounded_a
    if case.feeder and (whole := case.profile.feeder_most_frac) is not None:
        sure = weakest([case.ampacity.sure, whole.sure])
        return Allowance(whole.value * exact_a, "150 % of a feeder's ampacity", whole.source, sure)
    most = case.profile.round_up_most_frac
    if most is None or rounded_a is None or rounded_a > most.value * exact_a * (1 + RATING_TOLERANCE_FRAC):
        return _not_above(case)
    return case.allow(rounded_a, "the next standard rating, at most 150 % of the ampacity")


_ROUNDINGS: dict[str, Callable[[_Case], Allowance]] = {
    "none": _not_above,
    "next-standard": _next_standard,
    "next-standard-within-150-percent": _next_standard_within_150_percent,
}

_CAP_TABLES = {"nec-240.4(D)": "nec_240_4_d", "rv-low-voltage": "rv_low_voltage"}


LEAST_UNCAPPED = parse_wire_size("8 AWG")
"""From this size up neither table caps the device. Source: the tables end at 10 AWG, the next gauge is 8."""


def small_conductor_cap(table_name: str, size: WireSize, material: Material = "copper") -> Allowance | None:
    """The device cap of a small conductor, by the gauge not larger in area; None for larger conductors.

    The low-voltage table of RVs is for copper, the only conductor that its article allows.
    """
    if size.area_mm2 >= LEAST_UNCAPPED.area_mm2 * (1 - CMIL_COMPARISON_FRAC):
        return None
    figures = table(table_name)
    enough_mm2 = size.area_mm2 * (1 + CMIL_COMPARISON_FRAC)
    key = next((str(row) for row in reversed(figures.rows) if size_area_mm2(str(row)) <= enough_mm2), None)
    column = "device" if "device" in figures.units else "copper" if material == "copper" else "aluminium"
    value_a = figures.number(key, column)
    if value_a is None:
        return None
    # The aluminium column was not seen in print, whatever the mark of its row.
    sure: Sure = "from memory" if column == "aluminium" else figures.sure_of(key)
    return Allowance(value_a, f"the cap on devices ahead of {key}", figures.source.cite, sure)
