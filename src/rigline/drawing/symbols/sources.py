"""Symbols of what feeds the system."""

from __future__ import annotations

from rigline.drawing.symbol import POWER_MM, THIN_MM, Arc, Box, Circle, Glyph, Polyline, Stroke, Symbol, symbol
from rigline.drawing.symbols.marks import ac_mark, battery_mark, dc_mark, line

_BOX = (15.0, 10.0)
_ROUND = (10.0, 10.0)
_BELOW = {"out": (0.0, 5.0, "S"), "alt": (0.0, -5.0, "N")}
"""Sources feed downwards; the second terminal serves a battery that stands below its bus."""
_POSTS = {**_BELOW, "-": (-7.5, 0.0, "W"), "+": (7.5, 0.0, "E")}
"""A conductor of one pole leaves a battery visibly at its own post."""
_CASE = Box((-7.5, -5.0), (7.5, 5.0), POWER_MM, "white")
_MACHINE = Circle((0.0, 0.0), 5.0, POWER_MM, "white")
_SIGNS: tuple[Stroke, ...] = (
    line((-6.4, -3.2), (-5.0, -3.2), width_mm=THIN_MM),
    line((5.0, -3.2), (6.4, -3.2), width_mm=THIN_MM),
    line((5.7, -3.9), (5.7, -2.5), width_mm=THIN_MM),
)
"""Minus and plus above the ends of a row of cells."""
_BANK: tuple[Stroke, ...] = (
    line((-7.5, 0.0), (-3.6, 0.0), width_mm=THIN_MM),
    line((-3.6, -1.4), (-3.6, 1.4), width_mm=1.0),
    line((-2.3, -3.0), (-2.3, 3.0), width_mm=POWER_MM),
    line((-2.3, 0.0), (2.3, 0.0), width_mm=THIN_MM, dash_mm=(1.0, 0.8)),
    line((2.3, -1.4), (2.3, 1.4), width_mm=1.0),
    line((3.6, -3.0), (3.6, 3.0), width_mm=POWER_MM),
    line((3.6, 0.0), (7.5, 0.0), width_mm=THIN_MM),
)

_BATTERY_STROKES: tuple[Stroke, ...] = (_CASE, *_BANK, *_SIGNS)


def _battery(source: str) -> Symbol:
    return symbol("battery", source, _BOX, _POSTS, _BATTERY_STROKES)


def _vehicle_battery(source: str) -> Symbol:
    return symbol(
        "vehicle-battery",
        source,
        _BOX,
        _POSTS,
        _CASE,
        battery_mark(0.0, -1.5),
        line((-4.9, -1.5), (-3.5, -1.5), width_mm=THIN_MM),
        line((3.5, -1.5), (4.9, -1.5), width_mm=THIN_MM),
        line((4.2, -2.2), (4.2, -0.8), width_mm=THIN_MM),
        Glyph((0.0, 2.6), "VEHICLE"),
    )


def _blade(turn: int) -> Polyline:
    """One of three rotor blades, narrow, from the hub outwards."""
    blades = (
        ((-0.55, -0.4), (0.0, -4.0), (0.55, -0.4)),
        ((0.6, -0.3), (3.46, 2.0), (0.1, 0.65)),
        ((-0.1, 0.65), (-3.46, 2.0), (-0.6, -0.3)),
    )
    return Polyline(blades[turn], THIN_MM, "black", closed=True)


def _wind(source: str) -> Symbol:
    hub = Circle((0.0, 0.0), 0.7, THIN_MM, "white")
    return symbol("wind-turbine", source, _ROUND, _BELOW, _MACHINE, _blade(0), _blade(1), _blade(2), hub)


def _waves(y: float) -> tuple[Stroke, ...]:
    return (*ac_mark(-1.4, y, 1.4), *ac_mark(1.4, y, 1.4))


def _hydro(source: str) -> Symbol:
    return symbol(
        "hydro-turbine", source, _ROUND, _BELOW, _MACHINE, Glyph((0.0, -1.6), "G", 2.5), _waves(1.4), _waves(2.8)
    )


def _machine(kind: str, source: str, mark: tuple[Stroke, ...]) -> Symbol:
    return symbol(kind, source, _ROUND, _BELOW, _MACHINE, Glyph((0.0, -1.0), "G", 3.5), mark)


_RAYS: tuple[Stroke, ...] = tuple(
    stroke
    for x in (0.6, 3.6)
    for stroke in (
        line((x, -3.7), (x + 1.6, -1.7), width_mm=THIN_MM),
        Polyline(((x + 2.2, -0.95), (x + 0.95, -1.6), (x + 1.85, -2.3)), THIN_MM, "black", closed=True),
    )
)
"""Two arrows of light."""
_IEC_PV = symbol(
    "pv-array",
    "IEC 60617, photovoltaic module with light falling on it, direct current (from memory)",
    _BOX,
    _BELOW,
    _CASE,
    line((-7.5, -5.0), (-2.5, 0.0), (-7.5, 5.0)),
    _RAYS,
    dc_mark(3.0, 2.4, 2.0),
)
_IEEE_PV = symbol(
    "pv-array",
    "common practice in US plan sets: module box with triangle",
    _BOX,
    _BELOW,
    _CASE,
    line((-7.5, -5.0), (-2.5, 0.0), (-7.5, 5.0)),
    Glyph((2.5, 0.0), "PV", 2.5),
)
_INLET_CASE = Box((-5.0, -5.0), (5.0, 5.0), THIN_MM, "white")
_IEC_INLET = symbol(
    "shore-inlet",
    "IEC 60617, plug and socket: filled pin in an open arc (from memory); box: common practice",
    _ROUND,
    _BELOW,
    _INLET_CASE,
    ac_mark(0.0, -3.6),
    Arc((0.0, 1.2), 3.2, 180, 360),
    Box((-0.7, -0.4), (0.7, 3.2), THIN_MM, "black"),
    line((0.0, 3.2), (0.0, 5.0)),
)
_IEEE_INLET = symbol(
    "shore-inlet",
    "IEEE Std 315, separable contacts: nested chevrons (from memory); box: common practice",
    _ROUND,
    _BELOW,
    _INLET_CASE,
    ac_mark(0.0, -3.6),
    line((-2.2, -2.0), (0.0, 0.2), (2.2, -2.0)),
    line((-2.2, -0.2), (0.0, 2.0), (2.2, -0.2)),
    line((0.0, 2.0), (0.0, 5.0)),
)

IEC: tuple[Symbol, ...] = (
    _battery("IEC 60617, battery of cells, long thin plate positive (from memory); case: common practice"),
    _IEC_PV,
    _machine("alternator", "IEC 60617, rotating machine, generator, direct current (from memory)", dc_mark(0.0, 2.6)),
    _wind("common practice: machine circle with a three-blade rotor"),
    _hydro("common practice: generator circle with water"),
    _IEC_INLET,
    _machine("generator", "IEC 60617, rotating machine, generator, alternating current (from memory)", ac_mark(0, 2.6)),
    _vehicle_battery("IEC 60617, battery (from memory), named; case: common practice"),
)
IEEE: tuple[Symbol, ...] = (
    _battery("IEEE Std 315, battery of cells, long plate positive (from memory); case: common practice"),
    _IEEE_PV,
    _machine("alternator", "IEEE Std 315, generator, with the kind of current (from memory)", dc_mark(0.0, 2.6)),
    _wind("common practice: machine circle with a three-blade rotor"),
    _hydro("common practice: generator circle with water"),
    _IEEE_INLET,
    _machine("generator", "IEEE Std 315, generator, with the kind of current (from memory)", ac_mark(0.0, 2.6)),
    _vehicle_battery("IEEE Std 315, battery (from memory), named; case: common practice"),
)
