"""Symbols of what uses power."""

from __future__ import annotations

from rigline.drawing.symbol import POWER_MM, Arc, Box, Circle, Glyph, Symbol, symbol
from rigline.drawing.symbols.marks import Marks, ac_mark, dc_mark, line

_SIZE = (10.0, 10.0)
_IN = {"in": (0.0, -5.0, "N"), "case": (5.0, 0.0, "E")}
_IN_ONLY = {"in": (0.0, -5.0, "N")}


def _load(kind: str, source: str, mark: Marks) -> Symbol:
    return symbol(
        kind,
        source,
        (10.0, 5.0),
        {"in": (0.0, -2.5, "N"), "case": (5.0, 0.0, "E")},
        Box((-5.0, -2.5), (5.0, 2.5), POWER_MM, "white"),
        mark,
    )


_IEC_LOAD = "IEC 60617, consumer: box with the kind of current (from memory)"
_IEEE_LOAD = "common practice on US one-line diagrams: box with the kind of current in letters"


def _motor(source: str) -> Symbol:
    return symbol("motor", source, _SIZE, _IN, Circle((0.0, 0.0), 5.0, POWER_MM, "white"), Glyph((0.0, 0.0), "M", 3.5))


IEC: tuple[Symbol, ...] = (
    _load("dc-load", _IEC_LOAD, dc_mark(0.0, 0.0, 2.2)),
    _load("ac-load", _IEC_LOAD, ac_mark(0.0, 0.0, 2.2)),
    symbol(
        "receptacle",
        "IEC 60617, socket outlet with protective contact: half circle on a stem (from memory)",
        _SIZE,
        _IN_ONLY,
        line((0.0, -5.0), (0.0, 0.0)),
        Arc((0.0, 4.5), 4.5, 180, 360),
        line((-4.5, 0.0), (4.5, 0.0)),
    ),
    _motor("IEC 60617, motor (from memory)"),
)
IEEE: tuple[Symbol, ...] = (
    _load("dc-load", _IEEE_LOAD, (Glyph((0.0, 0.0), "DC", 2.5),)),
    _load("ac-load", _IEEE_LOAD, (Glyph((0.0, 0.0), "AC", 2.5),)),
    symbol(
        "receptacle",
        "common practice on US plans: circle with two parallel strokes",
        _SIZE,
        _IN_ONLY,
        line((0.0, -5.0), (0.0, -2.0)),
        Circle((0.0, 1.5), 3.5, POWER_MM, "white"),
        line((-1.0, -1.85), (-1.0, 4.85)),
        line((1.0, -1.85), (1.0, 4.85)),
    ),
    _motor("IEEE Std 315, motor (from memory)"),
)
