"""Symbols of what opens a circuit, by itself or by hand, and of what leads energy away."""

from __future__ import annotations

from rigline.drawing.symbol import POWER_MM, THIN_MM, Arc, Box, Circle, Glyph, Polyline, Stroke, Symbol, symbol
from rigline.drawing.symbols.marks import contact_circle, diode_mark, line, zigzag

_SMALL = (5.0, 10.0)
_IN_LINE = {"in": (0.0, -5.0, "N"), "out": (0.0, 5.0, "S")}
_TO_FIXED, _FROM_BLADE = line((0.0, -5.0), (0.0, -2.3)), line((0.0, 2.5), (0.0, 5.0))
_BLADE = line((0.0, 2.5), (-2.4, -2.0))
_LINK = (0.8, 0.6)
"""Dashes of a mechanical link."""
_TWO_INTO_ONE = (15.0, 10.0)
_CHANGE_OVER = {"a": (-5.0, -5.0, "N"), "b": (5.0, -5.0, "N"), "out": (0.0, 5.0, "S")}
_SELECT = {"1": (-5.0, -5.0, "N"), "2": (5.0, -5.0, "N"), "common": (0.0, 5.0, "S")}
_COIL = {**_IN_LINE, "coil": (-5.0, 0.0, "W"), "a": (0.0, -5.0, "N"), "b": (0.0, 5.0, "S")}
_ARC_OVER_GAP = Arc((-1.4125, 0.0), 3.6125, 303.9, 416.1)
"""Bow from 3 mm above to 3 mm below the middle, 2.2 mm to the right of the conductor."""

_SPLITTER = symbol(
    "diode-isolator",
    "IEC 60617 and IEEE Std 315, rectifier diodes (from memory); box: common practice",
    (15.0, 10.0),
    {**_IN_LINE, "a": (-5.0, 5.0, "S"), "b": (5.0, 5.0, "S"), "c": (0.0, 5.0, "S")},
    Box((-7.5, -5.0), (7.5, 5.0), POWER_MM, "white"),
    line((0.0, -5.0), (0.0, -2.6)),
    line((-5.0, 5.0), (-5.0, -2.6), (5.0, -2.6), (5.0, 5.0)),
    diode_mark(-5.0, 1.0),
    diode_mark(5.0, 1.0),
)

_HEAT_SIZE = (10.0, 10.0)
_HEAT_IN = {"in": (0.0, -5.0, "N")}

IEC: tuple[Symbol, ...] = (
    symbol(
        "fuse",
        "IEC 60617, fuse: rectangle with the conductor straight through (from memory)",
        _SMALL,
        _IN_LINE,
        Box((-1.4, -3.4), (1.4, 3.4), POWER_MM, "white"),
        line((0.0, -5.0), (0.0, 5.0)),
    ),
    symbol(
        "breaker",
        "IEC 60617, circuit breaker: make contact with a cross at the fixed contact",
        _SMALL,
        _IN_LINE,
        _TO_FIXED,
        line((-1.0, -3.3), (1.0, -1.3)),
        line((-1.0, -1.3), (1.0, -3.3)),
        _BLADE,
        _FROM_BLADE,
    ),
    symbol(
        "switch",
        "IEC 60617, switch-disconnector: bar and small circle at the fixed contact",
        _SMALL,
        _IN_LINE,
        line((0.0, -5.0), (0.0, -3.2)),
        line((-1.4, -3.2), (1.4, -3.2)),
        Circle((0.0, -2.45), 0.75, POWER_MM, "white"),
        _BLADE,
        _FROM_BLADE,
    ),
    symbol(
        "selector",
        "IEC 60617, multi-position switch with one common (from memory)",
        _TWO_INTO_ONE,
        _SELECT,
        line((-5.0, -5.0), (-5.0, -2.0)),
        line((5.0, -5.0), (5.0, -2.0)),
        line((0.0, 5.0), (0.0, 2.4), (-4.6, -2.2)),
        Arc((0.0, 2.4), 6.2, 230, 310, THIN_MM, _LINK),
        Glyph((-6.5, -2.6), "1"),
        Glyph((6.5, -2.6), "2"),
    ),
    symbol(
        "relay",
        "IEC 60617, contactor: make contact with a half circle at the fixed contact, and its coil (from memory)",
        (10.0, 10.0),
        _COIL,
        _TO_FIXED,
        Arc((0.0, -1.45), 0.85, 90, 270),
        line((0.0, -2.3), (0.0, -0.6), width_mm=THIN_MM),
        _BLADE,
        _FROM_BLADE,
        Box((-5.0, -1.6), (-3.0, 1.6), POWER_MM, "white"),
        line((-3.0, 0.0), (-1.4, 0.0), width_mm=THIN_MM, dash_mm=_LINK),
    ),
    symbol(
        "transfer-switch",
        "IEC 60617, change-over contact, common on the load side (from memory)",
        _TWO_INTO_ONE,
        _CHANGE_OVER,
        line((-5.0, -5.0), (-5.0, -2.0), (-2.2, -2.0)),
        line((5.0, -5.0), (5.0, -2.0), (2.2, -2.0)),
        line((0.0, 5.0), (0.0, 2.5), (-2.8, -2.6)),
    ),
    symbol(
        "rcd",
        "IEC 60617, contact with residual current sensing: ring round the conductors and link (from memory)",
        (10.0, 15.0),
        {"in": (0.0, -7.5, "N"), "out": (0.0, 7.5, "S")},
        line((0.0, -7.5), (0.0, -4.8)),
        line((0.0, 0.0), (-2.4, -4.5)),
        line((0.0, 0.0), (0.0, 7.5)),
        Circle((0.0, 3.8), 1.6),
        line((-1.6, 3.8), (-3.4, 3.8), (-3.4, -2.2), (-1.3, -2.2), width_mm=THIN_MM, dash_mm=_LINK),
    ),
    symbol(
        "surge-protector",
        "IEC 60617, surge arrester: rectangle with an arrow (from memory)",
        _SMALL,
        _IN_LINE,
        Box((-1.6, -3.4), (1.6, 3.4), POWER_MM, "white"),
        line((0.0, -5.0), (0.0, -0.4)),
        Polyline(((-0.8, -0.8), (0.8, -0.8), (0.0, 1.2)), THIN_MM, "black", closed=True),
        line((0.0, 3.4), (0.0, 5.0)),
    ),
    _SPLITTER,
    symbol(
        "dump-load",
        "IEC 60617, heating element: rectangle with cross strokes (from memory)",
        _HEAT_SIZE,
        _HEAT_IN,
        line((0.0, -5.0), (0.0, -3.0)),
        Box((-5.0, -3.0), (5.0, 5.0), POWER_MM, "white"),
        *(line((x, -3.0), (x, 5.0), width_mm=THIN_MM) for x in (-2.5, 0.0, 2.5)),
    ),
)

_POLE_TOP, _POLE_FOOT = line((0.0, -5.0), (0.0, -3.2)), line((0.0, 3.2), (0.0, 5.0))
_POLES: tuple[Stroke, ...] = (_POLE_TOP, contact_circle(0.0, -2.5), contact_circle(0.0, 2.5), _POLE_FOOT)

IEEE: tuple[Symbol, ...] = (
    symbol(
        "fuse",
        "IEEE Std 315, fuse: wave between two points (from memory)",
        _SMALL,
        _IN_LINE,
        line((0.0, -5.0), (0.0, -3.0)),
        Arc((0.0, -1.5), 1.5, 90, 270),
        Arc((0.0, 1.5), 1.5, 270, 450),
        line((0.0, 3.0), (0.0, 5.0)),
        Circle((0.0, -3.2), 0.55, THIN_MM, "black"),
        Circle((0.0, 3.2), 0.55, THIN_MM, "black"),
    ),
    symbol(
        "breaker",
        "IEEE Std 315, low-voltage circuit breaker: contact gap bridged by a bow (from memory)",
        _SMALL,
        _IN_LINE,
        _POLES,
        _ARC_OVER_GAP,
    ),
    symbol(
        "switch",
        "IEEE Std 315, knife switch, open (from memory)",
        _SMALL,
        _IN_LINE,
        _POLES,
        line((-0.33, 1.88), (-2.4, -2.0)),
    ),
    symbol(
        "selector",
        "IEEE Std 315, selector switch (from memory)",
        _TWO_INTO_ONE,
        _SELECT,
        line((-5.0, -5.0), (-5.0, -2.7)),
        line((5.0, -5.0), (5.0, -2.7)),
        contact_circle(-5.0, -2.0),
        contact_circle(5.0, -2.0),
        contact_circle(0.0, 2.4),
        line((0.0, 3.1), (0.0, 5.0)),
        line((-0.5, 1.92), (-4.1, -1.5)),
        Polyline(((-4.5, -1.52), (-3.9, -0.3), (-3.1, -1.1)), THIN_MM, "black", closed=True),
        Glyph((-6.6, -3.6), "1"),
        Glyph((6.6, -3.6), "2"),
    ),
    symbol(
        "relay",
        "IEEE Std 315, contactor: two parallel bars, and the coil as a circle (from memory)",
        (10.0, 10.0),
        _COIL,
        line((0.0, -5.0), (0.0, -0.9)),
        line((-1.5, -0.9), (1.5, -0.9)),
        line((-1.5, 0.9), (1.5, 0.9)),
        line((0.0, 0.9), (0.0, 5.0)),
        Circle((-3.75, 0.0), 1.25, POWER_MM, "white"),
        line((-2.5, 0.0), (0.0, 0.0), width_mm=THIN_MM, dash_mm=_LINK),
    ),
    symbol(
        "transfer-switch",
        "IEEE Std 315, two-position switch, common on the load side (from memory); letters: common practice",
        _TWO_INTO_ONE,
        _CHANGE_OVER,
        line((-5.0, -5.0), (-5.0, -2.0), (-3.2, -2.0)),
        line((5.0, -5.0), (5.0, -2.0), (3.2, -2.0)),
        contact_circle(-2.5, -2.0),
        contact_circle(2.5, -2.0),
        contact_circle(0.0, 2.5),
        line((0.0, 3.2), (0.0, 5.0)),
        line((-0.34, 1.89), (-2.2, -1.4)),
        Glyph((4.2, 2.4), "TS"),
    ),
    symbol(
        "rcd",
        "IEEE Std 315, circuit breaker (from memory), marked GFCI: common practice",
        (10.0, 15.0),
        {"in": (0.0, -7.5, "N"), "out": (0.0, 7.5, "S")},
        line((0.0, -7.5), (0.0, -5.7)),
        contact_circle(0.0, -5.0),
        contact_circle(0.0, 0.0),
        Arc((-1.4125, -2.5), 3.6125, 303.9, 416.1),
        line((0.0, 0.7), (0.0, 2.5)),
        Box((-4.0, 2.5), (4.0, 5.5), THIN_MM, "white"),
        Glyph((0.0, 4.0), "GFCI"),
        line((0.0, 5.5), (0.0, 7.5)),
    ),
    symbol(
        "surge-protector",
        "IEEE Std 315, lightning arrester: gap between two points (from memory)",
        _SMALL,
        _IN_LINE,
        line((0.0, -5.0), (0.0, -2.6)),
        Polyline(((-1.3, -2.6), (1.3, -2.6), (0.0, -0.3)), THIN_MM, "black", closed=True),
        Polyline(((-1.3, 2.6), (1.3, 2.6), (0.0, 0.3)), THIN_MM, "black", closed=True),
        line((0.0, 2.6), (0.0, 5.0)),
    ),
    _SPLITTER,
    symbol(
        "dump-load",
        "IEEE Std 315, resistor (from memory), in a box: common practice",
        _HEAT_SIZE,
        _HEAT_IN,
        Box((-5.0, -5.0), (5.0, 5.0), POWER_MM, "white"),
        line((0.0, -5.0), (0.0, -3.4)),
        zigzag(-3.4, 3.4, 1.6),
        line((0.0, 3.4), (0.0, 5.0)),
    ),
)
