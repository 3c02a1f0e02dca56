"""Symbols of what turns one voltage or kind of current into another."""

from __future__ import annotations

from rigline.drawing.symbol import POWER_MM, THIN_MM, Arc, Box, Circle, Polyline, Symbol, symbol
from rigline.drawing.symbols.marks import Marks, ac_mark, battery_mark, coil_row, dc_mark, line, sun_mark

_FLAT = (15.0, 10.0)
_FLAT_CASE = Box((-7.5, -5.0), (7.5, 5.0), POWER_MM, "white")
_FLAT_DIAGONAL = line((-7.5, 5.0), (7.5, -5.0), width_mm=THIN_MM)
_THROUGH = {"in": (0.0, -5.0, "N"), "out": (0.0, 5.0, "S"), "case": (7.5, 0.0, "E")}
_UPPER, _LOWER = (-3.6, -2.6), (3.6, 2.6)
"""Middles of the two halves: the input's mark stands above the diagonal, the output's below."""

_SQUARE = (15.0, 15.0)
_SQUARE_CASE = Box((-7.5, -7.5), (7.5, 7.5), POWER_MM, "white")
_SQUARE_DIAGONAL = line((-7.5, 7.5), (7.5, -7.5), width_mm=THIN_MM)
_THREE_WAY = {
    "dc": (-7.5, 0.0, "W"),
    "dc-n": (-5.0, -7.5, "N"),
    "dc-s": (-5.0, 7.5, "S"),
    "ac-in": (0.0, -7.5, "N"),
    "ac-out": (0.0, 7.5, "S"),
    "case": (7.5, 0.0, "E"),
}

_GENERAL = "general symbol of a converter: box with diagonal and both kinds of current (from memory)"


def _converter(kind: str, source: str, above: Marks, below: Marks, **more: tuple[float, float, str]) -> Symbol:
    return symbol(kind, source, _FLAT, _THROUGH | more, _FLAT_CASE, _FLAT_DIAGONAL, above, below)


def _chargers(standard: str) -> tuple[Symbol, ...]:
    """The four chargers and converters, the same in both styles."""
    source = f"{standard}, {_GENERAL}"
    north, south = (0.0, -5.0, "N"), (0.0, 5.0, "S")
    outputs = {"dc1": (-5.0, 5.0, "S"), "dc2": south, "dc3": (5.0, 5.0, "S")}
    return (
        _converter(
            "charge-controller",
            source + "; photovoltaic and battery marks: common practice",
            sun_mark(*_UPPER),
            battery_mark(*_LOWER),
            pv=north,
            battery=south,
            load=(5.0, 5.0, "S"),
            sense=(-7.5, 2.5, "W"),
        ),
        _converter(
            "dc-charger", source + "; battery mark: common practice", dc_mark(*_UPPER, 2.0), battery_mark(*_LOWER)
        ),
        _converter("dc-converter", source, dc_mark(*_UPPER, 2.0), dc_mark(*_LOWER, 2.0)),
        _converter(
            "ac-charger",
            source + "; battery mark: common practice",
            ac_mark(*_UPPER, 2.0),
            battery_mark(*_LOWER),
            ac=north,
            dc=south,
            **outputs,
        ),
    )


_BOTH_WAYS: Marks = (
    line((-1.9, 6.2), (5.9, 6.2), width_mm=THIN_MM),
    Polyline(((-2.6, 6.2), (-1.2, 5.6), (-1.2, 6.8)), THIN_MM, "black", closed=True),
    Polyline(((6.6, 6.2), (5.2, 5.6), (5.2, 6.8)), THIN_MM, "black", closed=True),
)


def _inverters(standard: str) -> tuple[Symbol, ...]:
    source = f"{standard}, {_GENERAL}"
    halves = (*dc_mark(-3.6, -3.6, 2.2), *ac_mark(3.6, 3.2, 2.4))
    return (
        symbol("inverter", source, _SQUARE, _THREE_WAY, _SQUARE_CASE, _SQUARE_DIAGONAL, halves),
        symbol(
            "inverter-charger",
            source + "; double arrow for both directions: common practice",
            _SQUARE,
            _THREE_WAY,
            _SQUARE_CASE,
            _SQUARE_DIAGONAL,
            halves,
            _BOTH_WAYS,
        ),
    )


_WINDINGS = {"primary": (0.0, -5.0, "N"), "secondary": (0.0, 5.0, "S"), "case": (5.0, 0.0, "E")}
_WINDINGS_CASE = Box((-5.0, -5.0), (5.0, 5.0), THIN_MM, "white")
_IEC_TRANSFORMER = symbol(
    "transformer",
    "IEC 60617, transformer with two windings, single-line form (from memory); box: common practice",
    (10.0, 10.0),
    _WINDINGS,
    _WINDINGS_CASE,
    Circle((0.0, -1.5), 2.5),
    Circle((0.0, 1.5), 2.5),
    line((0.0, -5.0), (0.0, -4.0)),
    line((0.0, 4.0), (0.0, 5.0)),
)
_IEEE_TRANSFORMER = symbol(
    "transformer",
    "IEEE Std 315, transformer with two windings, single-line form (from memory); box: common practice",
    (10.0, 10.0),
    _WINDINGS,
    _WINDINGS_CASE,
    line((0.0, -5.0), (0.0, -1.9)),
    coil_row(-1.9, down=True),
    coil_row(1.9, down=False),
    line((0.0, 1.9), (0.0, 5.0)),
)
_TAPPED = {"primary": (0.0, -5.0, "N"), "secondary": (0.0, 5.0, "S")}
_IEC_AUTOTRANSFORMER = symbol(
    "autotransformer",
    "IEC 60617, autotransformer, single-line form (from memory)",
    (10.0, 10.0),
    _TAPPED,
    Circle((0.0, 1.0), 3.0),
    Arc((-4.5, 1.0), 7.5, 306.8699, 360.0),
    line((0.0, 4.0), (0.0, 5.0)),
)
_IEEE_AUTOTRANSFORMER = symbol(
    "autotransformer",
    "IEEE Std 315, autotransformer: one winding with a tap (from memory)",
    (10.0, 10.0),
    _TAPPED,
    line((0.0, -5.0), (0.0, -3.6)),
    *(Arc((0.0, y), 1.1, 270, 450) for y in (-2.5, -0.3, 1.9)),
    line((0.0, 0.8), (-2.4, 0.8), (-2.4, 4.0), (0.0, 4.0), (0.0, 5.0)),
)

IEC: tuple[Symbol, ...] = (
    *_chargers("IEC 60617"),
    *_inverters("IEC 60617"),
    _IEC_TRANSFORMER,
    _IEC_AUTOTRANSFORMER,
)
IEEE: tuple[Symbol, ...] = (
    *_chargers("IEEE Std 315"),
    *_inverters("IEEE Std 315"),
    _IEEE_TRANSFORMER,
    _IEEE_AUTOTRANSFORMER,
)
