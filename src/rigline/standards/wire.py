"""A wire size as people write it, with the one thing every calculation needs: its copper area.

"10" may be a gauge or an area and "4 mm" a diameter or an area, and the two differ by enough to start a fire. This
module therefore refuses what can be read two ways. It knows nothing of ampacity or of any rule set.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Literal

from msgspec import Struct

from rigline.standards.gauge import MM2_PER_CMIL, awg_area_mm2, gauge_number, gauge_text
from rigline.standards.tables import table

WireSystem = Literal["awg", "mm2", "kcmil"]
Material = Literal["copper", "aluminium", "copper-clad"]
Strand = Literal["fine", "stranded", "solid"]

SMALLEST_GAUGE = 40
"""Largest gauge number accepted. Source: ASTM B258 tables end there."""

LARGEST_AREA_MM2 = 1000.0
"""Largest metric size of IEC 60228 for stranded conductors in ordinary use; from memory."""

SMALLEST_AREA_MM2 = 0.05
"""Finest hook-up wire in ordinary use. Source: common practice."""

LARGEST_KCMIL = 2000.0
"""Largest conductor of NEC Table 310.16."""

CMIL_COMPARISON_FRAC = 0.005
"""Two areas closer than this are the same size: printed circular mils are rounded. Source: NEC 250.122(B) practice."""

_STANDARD_GAUGES = (18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 0, -1, -2, -3)
_STANDARD_MM2 = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0, 150.0)
_STANDARD_KCMIL = (250.0, 300.0, 350.0, 400.0, 500.0)
_UNUSUAL = ("3 AWG",)

_AWG = re.compile(r"(?:awg\s*#?\s*|#\s*)(?P<after>[0-9/]+)|(?:#\s*)?(?P<before>[0-9/]+)\s*awg")
_OVER = re.compile(r"[0-9]/0")
_NUMBER = r"(?P<number>[0-9]+(?:[.,][0-9]+)?)"
_MM2 = re.compile(_NUMBER + r"\s*(?:mm\s?(?:²|\^?2)|sq\.?\s?mm|sqmm)")
_KCMIL = re.compile(_NUMBER + r"\s*(?:kcmil|mcm)")
_MM = re.compile(_NUMBER + r"\s*mm")
_BARE = re.compile(_NUMBER)

EXPECTED = "a gauge as in '10 AWG' or '2/0 AWG', or an area as in '35 mm²' or '250 kcmil'"


class WireSizeProblem(ValueError):
    """The text is no wire size, or can be read as two. The message says what is expected."""


class WireSize(Struct, frozen=True):
    """One conductor size. `text` is canonical, so equal sizes of one system are equal objects."""

    system: WireSystem
    text: str
    area_mm2: float

    @property
    def order(self) -> tuple[float, str]:
        """Sort key: by copper area, whatever the system."""
        return (self.area_mm2, self.text)

    @property
    def usual(self) -> bool:
        """False for a size that stands in the tables but is hardly sold as flexible cable (3 AWG; common practice)."""
        return self.text not in _UNUSUAL

    @property
    def is_metric(self) -> bool:
        """True for sizes in mm², False for AWG and kcmil, which are one American series."""
        return self.system == "mm2"

    def __str__(self) -> str:
        return self.text


def awg(number: int) -> WireSize:
    """The size of a gauge number, 1/0 being 0 and 4/0 being -3."""
    return WireSize("awg", gauge_text(number), awg_area_mm2(number))


def mm2(area_mm2: float) -> WireSize:
    """The metric size of an area."""
    return WireSize("mm2", f"{area_mm2:g} mm²", area_mm2)


def kcmil(area_kcmil: float) -> WireSize:
    """The American size above 4/0, in thousands of circular mils."""
    return WireSize("kcmil", f"{area_kcmil:g} kcmil", area_kcmil * 1000 * MM2_PER_CMIL)


@cache
def parse_wire_size(text: str) -> WireSize:
    """The size that a person wrote.

    Raises:
        WireSizeProblem: the text is no size, or is one in two systems.

    >>> parse_wire_size("#10 awg").text, parse_wire_size("00 AWG").text, parse_wire_size("2.5mm^2").text
    ('10 AWG', '2/0 AWG', '2.5 mm²')
    """
    if not isinstance(text, str):
        raise WireSizeProblem(f"wire size {text!r}: give {EXPECTED}")
    written = " ".join(text.strip().casefold().split())
    size = _as_awg(text, written) or _as_area(text, written)
    if size is None:
        raise WireSizeProblem(_question(text, written))
    return size


def _as_awg(text: str, written: str) -> WireSize | None:
    found = _AWG.fullmatch(written)
    gauge = written if _OVER.fullmatch(written) else found and (found["after"] or found["before"])
    if not gauge:
        return None
    number = gauge_number(gauge)
    if number is None or number > SMALLEST_GAUGE:
        raise WireSizeProblem(f"wire size '{text}': gauges run from 40 AWG up to 4/0 AWG; above that give kcmil")
    return awg(number)


def _as_area(text: str, written: str) -> WireSize | None:
    if found := _MM2.fullmatch(written):
        area = _number(found)
        if not SMALLEST_AREA_MM2 <= area <= LARGEST_AREA_MM2:
            raise WireSizeProblem(f"wire size '{text}': expected between 0.05 and 1000 mm²")
        return mm2(area)
    if found := _KCMIL.fullmatch(written):
        area = _number(found)
        if not 1 <= area <= LARGEST_KCMIL:
            raise WireSizeProblem(f"wire size '{text}': expected between 1 and 2000 kcmil")
        return kcmil(area)
    return None


def _number(found: re.Match[str]) -> float:
    return float(found["number"].replace(",", "."))


def _question(text: str, written: str) -> str:
    if found := _MM.fullmatch(written):
        number = found["number"]
        return f"wire size '{text}': {number} mm across, or {number} mm²? Write '{number} mm²' for the copper area"
    if found := _BARE.fullmatch(written):
        number = found["number"]
        return f"wire size '{text}': AWG or mm²? Write '{number} AWG' or '{number} mm²'"
    return f"wire size '{text}': give {EXPECTED}"


@cache
def standard_sizes(system: WireSystem) -> tuple[WireSize, ...]:
    """The sizes of a series, smallest first: 18 AWG to 4/0 with 3 AWG (not `usual`), 0.5 to 150 mm², 250 to 500 kcmil.

    Sources: NEC Table 310.16 and 33 CFR 183.425 Table 5 for AWG and kcmil; IEC 60228 for mm².
    """
    if system == "awg":
        return tuple(awg(number) for number in _STANDARD_GAUGES)
    if system == "mm2":
        return tuple(mm2(area) for area in _STANDARD_MM2)
    return tuple(kcmil(area) for area in _STANDARD_KCMIL)


def _series(system: WireSystem) -> tuple[WireSize, ...]:
    """The whole ladder: kcmil continues AWG above 4/0."""
    return standard_sizes("mm2") if system == "mm2" else standard_sizes("awg") + standard_sizes("kcmil")


def one_size_smaller(size: WireSize) -> WireSize | None:
    """The next smaller size that is sold. 3 AWG is passed over, so one below 2 AWG is 4 AWG; None below the series.

    Small-boat conductor lists have no 3 AWG step (common practice).
    """
    smaller = [step for step in _series(size.system) if step.usual and step.area_mm2 < size.area_mm2 * (1 - 1e-9)]
    return smaller[-1] if smaller else None


def size_at_least(area_mm2: float, system: WireSystem = "awg", *, usual_only: bool = True) -> WireSize | None:
    """The smallest size of a series with at least this copper area; None above the series.

    An area within 0.5 % of a size counts as that size, since printed circular mils are rounded.
    """
    enough = area_mm2 * (1 - CMIL_COMPARISON_FRAC)
    fitting = (step for step in _series(system) if step.area_mm2 >= enough and (step.usual or not usual_only))
    return next(fitting, None)


COPPER_RESISTIVITY_OHM_M = 1.7241e-8
"""Annealed copper at 20 °C (100 % IACS). Source: IEC 60028, from memory."""

LAY_FACTOR: dict[Strand, float] = {"solid": 1.0, "stranded": 1.02, "fine": 1.04}
"""Resistance of an AWG conductor over that of a solid one: its strands run longer than the cable.

Source: ASTM B8 for stranded (2 %), ASTM B172 and B174 for fine ropes (2 to 6 %, taken as 4 %); both from memory.
NEC Chapter 9 Table 8 prints 1.8 to 2.6 % for stranded; 1.02 meets every figure there within 0.6 %.
"""

RESISTIVITY_OVER_COPPER: dict[Material, float] = {"copper": 1.0, "aluminium": 1 / 0.61, "copper-clad": 1.59}
"""Source: IEC 60889 (aluminium, 61 % IACS) and ASTM B566 class 10A (0.02743 ohm mm²/m); both from memory."""

TEMPERATURE_COEFFICIENT_PER_K: dict[Material, float] = {"copper": 0.00393, "aluminium": 0.00403, "copper-clad": 0.00405}
"""Rise of resistance per kelvin, relative to 20 °C. Source: IEC 60028, IEC 60889, ASTM B566; from memory."""

REFERENCE_C = 20.0
"""Temperature at which IEC 60028 and IEC 60228 give resistance."""

UNLISTED_METRIC_OHM_M = 1.995e-8
"""Resistance times nominal area for an area that IEC 60228 doesn't list: the largest product of its class 5."""


@cache
def conductor_resistance_ohm_per_m(
    size: WireSize, *, conductor_c: float = REFERENCE_C, material: Material = "copper", strand: Strand = "stranded"
) -> float:
    """Direct-current resistance of one conductor of a size, at the temperature of its metal.

    AWG and kcmil: resistivity over area, times the lay factor of the strand. Metric: the greatest resistance that
    IEC 60228 allows, class 5 for fine and stranded, class 2 for solid (class 1 has the same figures up to 35 mm²).

    >>> round(1000 * conductor_resistance_ohm_per_m(parse_wire_size("10 AWG")), 3)
    3.343
    >>> round(1000 * conductor_resistance_ohm_per_m(parse_wire_size("6 mm²")), 2)
    3.3
    """
    cold = _metric_ohm_per_m(size, strand) if size.is_metric else _american_ohm_per_m(size, strand)
    heating = 1 + TEMPERATURE_COEFFICIENT_PER_K[material] * (conductor_c - REFERENCE_C)
    return cold * RESISTIVITY_OVER_COPPER[material] * heating


def _american_ohm_per_m(size: WireSize, strand: Strand) -> float:
    return COPPER_RESISTIVITY_OHM_M / (size.area_mm2 * 1e-6) * LAY_FACTOR[strand]


def _metric_ohm_per_m(size: WireSize, strand: Strand) -> float:
    column = "class_2_plain" if strand == "solid" else "class_5_plain"
    listed_ohm_per_km = table("iec_60228").number(size.text, column)
    if listed_ohm_per_km is None:
        return UNLISTED_METRIC_OHM_M / (size.area_mm2 * 1e-6)
    return listed_ohm_per_km / 1000
