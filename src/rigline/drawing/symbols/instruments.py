"""Symbols of what measures."""

from __future__ import annotations

from rigline.drawing.symbol import POWER_MM, THIN_MM, Box, Circle, Glyph, Polyline, Stroke, Symbol, symbol
from rigline.drawing.symbols.marks import Marks, line, zigzag

_SHUNT_SIZE = (15.0, 10.0)
_SHUNT_ENDS = {
    "in": (0.0, -5.0, "N"),
    "out": (0.0, 5.0, "S"),
    "battery": (0.0, -5.0, "N"),
    "load": (0.0, 5.0, "S"),
    "sense": (7.5, 0.0, "E"),
}
_METER: Marks = (
    line((0.0, -3.9), (5.3, -3.9), (5.3, -2.2), width_mm=THIN_MM),
    line((0.0, 3.9), (5.3, 3.9), (5.3, 2.2), width_mm=THIN_MM),
    Circle((0.0, -3.9), 0.4, THIN_MM, "black"),
    Circle((0.0, 3.9), 0.4, THIN_MM, "black"),
    Circle((5.3, 0.0), 2.2, POWER_MM, "white"),
    Glyph((5.3, 0.0), "A"),
)


def _shunt(source: str, *resistor: Stroke) -> Symbol:
    return symbol("shunt", source, _SHUNT_SIZE, _SHUNT_ENDS, resistor, _METER)


def _monitor(source: str) -> Symbol:
    frame = Box((-5.0, -2.5), (5.0, 2.5), POWER_MM, "white")
    sides = {"in": (0.0, -2.5, "N"), "sense": (-5.0, 0.0, "W")}
    return symbol("monitor", source, (10.0, 5.0), sides, frame, Glyph((0.0, 0.0), "V A"))


def _sensor(source: str) -> Symbol:
    diamond = Polyline(((0.0, -2.5), (2.5, 0.0), (0.0, 2.5), (-2.5, 0.0)), POWER_MM, "white", closed=True)
    return symbol(
        "sensor",
        source,
        (5.0, 5.0),
        {"in": (0.0, -2.5, "N"), "sense": (-2.5, 0.0, "W")},
        diamond,
        Circle((0.0, 0.0), 0.6, THIN_MM, "black"),
    )


IEC: tuple[Symbol, ...] = (
    _shunt(
        "IEC 60617, resistor with separate current and voltage terminals, and ammeter (from memory)",
        Box((-1.4, -2.9), (1.4, 2.9), POWER_MM, "white"),
        line((0.0, -5.0), (0.0, -2.9)),
        line((0.0, 2.9), (0.0, 5.0)),
    ),
    _monitor("IEC 60617, indicating instrument with its quantities (from memory)"),
    _sensor("IEC 60617, sensing device: diamond (from memory)"),
)
IEEE: tuple[Symbol, ...] = (
    _shunt(
        "IEEE Std 315, instrument shunt and ammeter (from memory)",
        line((0.0, -5.0), (0.0, -2.9)),
        zigzag(-2.9, 2.9),
        line((0.0, 2.9), (0.0, 5.0)),
    ),
    _monitor("IEEE Std 315, meter with its quantities (from memory)"),
    _sensor("common practice: diamond"),
)
