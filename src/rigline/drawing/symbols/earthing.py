"""Symbols of earths and bonds."""

from __future__ import annotations

from rigline.drawing.symbol import BAR_MM, POWER_MM, THIN_MM, Box, Symbol, symbol
from rigline.drawing.symbols.marks import diode_mark, line

_FROM_ABOVE = {"in": (0.0, -2.5, "N")}


def _earths(standard: str, diode_fill: str) -> tuple[Symbol, ...]:
    """Earth symbols are the same in both styles."""
    return (
        symbol(
            "chassis",
            f"{standard}, frame or chassis connection: bar with slanted strokes (from memory)",
            (7.5, 5.0),
            _FROM_ABOVE,
            line((0.0, -2.5), (0.0, 0.0)),
            line((-2.6, 0.0), (2.6, 0.0)),
            *(line((x, 0.0), (x - 1.1, 2.2)) for x in (-2.4, 0.0, 2.4)),
        ),
        symbol(
            "earth-electrode",
            f"{standard}, earth: three shrinking bars (from memory)",
            (7.5, 5.0),
            _FROM_ABOVE,
            line((0.0, -2.5), (0.0, -0.2)),
            line((-3.0, -0.2), (3.0, -0.2)),
            line((-1.9, 0.95), (1.9, 0.95)),
            line((-0.8, 2.1), (0.8, 2.1)),
        ),
        symbol(
            "earth-bus",
            f"{standard}, busbar, marked with the earth symbol (from memory)",
            (15.0, 5.0),
            {"in": (0.0, -2.5, "N"), "out": (0.0, 2.5, "S")},
            line((0.0, -2.5), (0.0, 2.5)),
            line((-7.5, 0.0), (7.5, 0.0), width_mm=BAR_MM),
            line((5.0, 0.0), (5.0, 1.3), width_mm=THIN_MM),
            line((3.8, 1.3), (6.2, 1.3), width_mm=THIN_MM),
            line((4.3, 1.8), (5.7, 1.8), width_mm=THIN_MM),
            line((4.7, 2.3), (5.3, 2.3), width_mm=THIN_MM),
        ),
        symbol(
            "galvanic-isolator",
            f"{standard}, two diodes in opposite directions (from memory); box: common practice",
            (10.0, 10.0),
            {
                "in": (0.0, -5.0, "N"),
                "out": (0.0, 5.0, "S"),
                "shore": (0.0, -5.0, "N"),
                "boat": (0.0, 5.0, "S"),
            },
            Box((-5.0, -5.0), (5.0, 5.0), POWER_MM, "white"),
            line((0.0, -5.0), (0.0, -3.2)),
            line((-2.4, -3.2), (2.4, -3.2), (2.4, 3.2), (-2.4, 3.2), (-2.4, -3.2), (2.4, -3.2)),
            diode_mark(-2.4, 0.0, down=True, fill=diode_fill),
            diode_mark(2.4, 0.0, down=False, fill=diode_fill),
            line((0.0, 3.2), (0.0, 5.0)),
        ),
    )


IEC: tuple[Symbol, ...] = _earths("IEC 60617", "white")
IEEE: tuple[Symbol, ...] = _earths("IEEE Std 315", "black")
