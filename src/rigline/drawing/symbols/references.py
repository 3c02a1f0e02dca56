"""Arrows that stand for what a part of a drawing does not show. They are no components and the same in both styles."""

from __future__ import annotations

from rigline.drawing.symbol import Polyline, Symbol, symbol

_SOURCE = (
    "An arrow in the direction of power, where a line is interrupted: IEC 61082-1, interrupted lines (from memory)"
)


def _arrow(kind: str, terminals: dict[str, tuple[float, float, str]]) -> Symbol:
    head = Polyline(((-1.5, -2.5), (1.5, -2.5), (0.0, 2.5)), fill="white", closed=True)
    return symbol(kind, _SOURCE, (5.0, 5.0), terminals, head)


REFERENCES: tuple[Symbol, ...] = (
    _arrow("reference-out", {"in": (0.0, -2.5, "N")}),
    _arrow("reference-in", {"out": (0.0, 2.5, "S")}),
)
