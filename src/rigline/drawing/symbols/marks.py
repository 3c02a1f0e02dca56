"""Small marks that several symbols carry: kind of current, battery plates, diodes."""

from __future__ import annotations

from rigline.drawing.symbol import POWER_MM, THIN_MM, Arc, Circle, Point, Polyline, Stroke

Marks = tuple[Stroke, ...]


def line(*points: Point, width_mm: float = POWER_MM, dash_mm: tuple[float, ...] = ()) -> Polyline:
    """An open line through the points."""
    return Polyline(points, width_mm, dash_mm=dash_mm)


def dc_mark(x: float, y: float, half_mm: float = 1.6) -> Marks:
    """Direct current: a full line over a broken one. Source: IEC 60617 (from memory)."""
    third = 2 * half_mm / 5
    dashes = tuple(
        line((x - half_mm + 2 * i * third, y + 0.5), (x - half_mm + (2 * i + 1) * third, y + 0.5), width_mm=THIN_MM)
        for i in range(3)
    )
    return (line((x - half_mm, y - 0.5), (x + half_mm, y - 0.5), width_mm=THIN_MM), *dashes)


def ac_mark(x: float, y: float, half_mm: float = 1.6) -> Marks:
    """Alternating current: one full wave. Source: IEC 60617 (from memory)."""
    radius = half_mm / 2
    return (
        Arc((x - radius, y), radius, 180, 360, THIN_MM),
        Arc((x + radius, y), radius, 0, 180, THIN_MM),
    )


def battery_mark(x: float, y: float) -> Marks:
    """Two cells in a row, the long thin plate positive and to the right. Source: IEC 60617 (from memory)."""
    return (
        line((x - 2.5, y), (x - 1.2, y), width_mm=THIN_MM),
        line((x - 1.2, y - 0.8), (x - 1.2, y + 0.8), width_mm=POWER_MM),
        line((x - 0.4, y - 1.5), (x - 0.4, y + 1.5), width_mm=THIN_MM),
        line((x + 0.4, y - 0.8), (x + 0.4, y + 0.8), width_mm=POWER_MM),
        line((x + 1.2, y - 1.5), (x + 1.2, y + 1.5), width_mm=THIN_MM),
        line((x + 1.2, y), (x + 2.5, y), width_mm=THIN_MM),
    )


def sun_mark(x: float, y: float) -> Marks:
    """Photovoltaic source: a box with a notch. Source: common practice."""
    corners = ((x - 2.2, y - 1.3), (x + 2.2, y - 1.3), (x + 2.2, y + 1.3), (x - 2.2, y + 1.3))
    return (
        Polyline(corners, THIN_MM, closed=True),
        line((x - 2.2, y - 1.3), (x - 0.9, y), (x - 2.2, y + 1.3), width_mm=THIN_MM),
    )


def diode_mark(x: float, y: float, down: bool = True, fill: str = "white") -> Marks:
    """A rectifier diode on a vertical line; its triangle points as current passes. Source: IEC 60617 (from memory)."""
    tip, back = (y + 1.1, y - 1.1) if down else (y - 1.1, y + 1.1)
    return (
        Polyline(((x - 1.3, back), (x + 1.3, back), (x, tip)), POWER_MM, fill, closed=True),
        line((x - 1.3, tip), (x + 1.3, tip)),
    )


def coil_row(y: float, down: bool, bumps: int = 4) -> Marks:
    """A winding as a level row of half circles of 1 mm radius. Source: IEEE Std 315 (from memory)."""
    start = 0.0 if down else 180.0
    return tuple(Arc((2.0 * i - bumps + 1, y), 1.0, start, start + 180.0) for i in range(bumps))


def zigzag(y0: float, y1: float, half_mm: float = 1.25) -> Polyline:
    """A resistor on a vertical line. Source: IEEE Std 315 (from memory)."""
    step = (y1 - y0) / 12
    turns = tuple(((half_mm if i % 2 else -half_mm), y0 + i * 2 * step - step) for i in range(1, 7))
    return line((0.0, y0), *turns, (0.0, y1))


def contact_circle(x: float, y: float) -> Circle:
    """An open terminal circle, as on knife switches. Source: IEEE Std 315 (from memory)."""
    return Circle((x, y), 0.7, THIN_MM, "white")
