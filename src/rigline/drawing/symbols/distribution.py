"""Symbols of what spreads power: buses, panels and joints.

On a sheet the first four are drawn as bars as long as they need to be; these short ones stand in the legend.
"""

from __future__ import annotations

from rigline.drawing.symbol import BAR_MM, POWER_MM, THIN_MM, Arc, Box, Circle, Polyline, Stroke, Symbol, symbol
from rigline.drawing.symbols.marks import ac_mark, dc_mark, line

_SIZE = (15.0, 5.0)
_ENDS = {"in": (0.0, -2.5, "N"), "out": (0.0, 2.5, "S")}
_BAR = line((-7.5, 0.0), (7.5, 0.0), width_mm=BAR_MM)
_FEED = line((0.0, -2.5), (0.0, 0.0))
_TAP = line((0.0, 0.0), (0.0, 2.5))
_LEFT_TAP, _RIGHT_TAP = line((-5.0, 0.0), (-5.0, 2.5)), line((5.0, 0.0), (5.0, 2.5))
_IN_LINE = {"in": (0.0, -5.0, "N"), "out": (0.0, 5.0, "S")}


def _tap_fuse(x: float) -> Box:
    return Box((x - 0.5, 1.0), (x + 0.5, 2.3), THIN_MM, "white")


def _bars(standard: str) -> tuple[Symbol, ...]:
    source = f"{standard}, busbar with taps (from memory)"
    frame = Box((-7.5, -2.5), (7.5, 2.5), THIN_MM)
    dots: tuple[Stroke, ...] = (Circle((-5.0, 0.0), 0.7, THIN_MM, "black"), Circle((5.0, 0.0), 0.7, THIN_MM, "black"))
    fuses = (_tap_fuse(-5.0), _tap_fuse(0.0), _tap_fuse(5.0))
    return (
        symbol("busbar", source, _SIZE, _ENDS, _FEED, _BAR, _TAP, _LEFT_TAP, _RIGHT_TAP, dots),
        symbol("fuse-block", source, _SIZE, _ENDS, _FEED, _BAR, _TAP, _LEFT_TAP, _RIGHT_TAP, fuses),
        symbol("dc-panel", source, _SIZE, _ENDS, frame, _FEED, _BAR, _TAP, dc_mark(-4.5, -1.6)),
        symbol("ac-panel", source, _SIZE, _ENDS, frame, _FEED, _BAR, _TAP, ac_mark(-4.5, -1.65, 1.2)),
    )


def _junction(source: str) -> Symbol:
    sides = {
        "in": (0.0, -2.5, "N"),
        "out": (0.0, 2.5, "S"),
        "west": (-2.5, 0.0, "W"),
        "east": (2.5, 0.0, "E"),
    }
    ring = Circle((0.0, 0.0), 2.5, POWER_MM, "white")
    return symbol("junction", source, (5.0, 5.0), sides, ring, Circle((0.0, 0.0), 0.8, THIN_MM, "black"))


IEC: tuple[Symbol, ...] = (
    *_bars("IEC 60617"),
    _junction("IEC 60617, junction box with connection (from memory)"),
    symbol(
        "connector",
        "IEC 60617, plug and socket: filled pin in an open arc (from memory)",
        (5.0, 10.0),
        _IN_LINE,
        line((0.0, -5.0), (0.0, -1.8)),
        Arc((0.0, 0.2), 2.0, 180, 360),
        Polyline(((-0.6, -0.6), (0.6, -0.6), (0.6, 2.6), (-0.6, 2.6)), THIN_MM, "black", closed=True),
        line((0.0, 2.6), (0.0, 5.0)),
    ),
)
IEEE: tuple[Symbol, ...] = (
    *_bars("IEEE Std 315"),
    _junction("IEEE Std 315, junction box with connection (from memory)"),
    symbol(
        "connector",
        "IEEE Std 315, separable contacts: nested chevrons (from memory)",
        (5.0, 10.0),
        _IN_LINE,
        line((0.0, -5.0), (0.0, -0.4)),
        line((-2.0, -2.4), (0.0, -0.4), (2.0, -2.4)),
        line((-2.0, -0.6), (0.0, 1.4), (2.0, -0.6)),
        line((0.0, 1.4), (0.0, 5.0)),
    ),
)
