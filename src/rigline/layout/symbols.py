"""What layout has to know of a graphic symbol: its outline and where conductors end on it.

Layout must not see the drawing, so the drawing hands its symbols over as this small table.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from msgspec import Struct

GRID_MM = 2.5
"""All terminals, taps and corners stand on multiples of this. Source: IEC 60617 and IEC 61082-1 (from memory)."""


class Terminal(Struct, frozen=True):
    """Where a conductor ends, seen from the symbol's centre, and the side from which it leaves."""

    x_mm: float
    y_mm: float
    side: str
    """N | E | S | W"""


class SymbolBox(Struct, frozen=True):
    """The outline of a symbol, centred on its reference point, and its terminals."""

    width_mm: float
    height_mm: float
    terminals: Mapping[str, Terminal]


class SymbolTable(Protocol):
    """Every kind's outline; a table must answer for any kind of the spec."""

    def __getitem__(self, kind: str, /) -> SymbolBox: ...


PORT_NAMES: dict[str, tuple[str, ...]] = {
    "ac": ("ac-in", "ac-out", "in"),
    "dc": ("dc", "out"),
    "pv": ("in",),
    "battery": ("out",),
    "line": ("in",),
    "main": ("in",),
    "load": ("out",),
}
"""Terminals of a symbol that stand for a port of the spec, best first. Our own choice."""


OPPOSITE = {"N": "S", "S": "N", "E": "W", "W": "E"}
"""The other side of a symbol."""


def turned(terminal: Terminal) -> Terminal:
    """The terminal of a symbol that stands upside down."""
    return Terminal(-terminal.x_mm, -terminal.y_mm, OPPOSITE[terminal.side])


def terminal_for(box: SymbolBox, port: str, side: str) -> Terminal | None:
    """The terminal for a port of the spec on one side of the symbol, or else the first one on that side.

    If the port is only on another side, that one; None when the symbol has neither. A conductor of one pole ends at
    that pole's own terminal, whatever the side: at the other one it would read like the wrong pole.
    """
    names = (port, f"{port}-{side.lower()}", *PORT_NAMES.get(port, ()))
    named = [box.terminals[name] for name in names if name in box.terminals]
    fitting = [terminal for terminal in named if terminal.side == side]
    on_side = [terminal for terminal in box.terminals.values() if terminal.side == side]
    one_pole = named if port in ("+", "-") else []
    for choice in (fitting, one_pole, on_side, named):
        if choice:
            return choice[0]
    return None


class SymbolCache:
    """Asks a table once for every kind, and for every terminal of it."""

    def __init__(self, table: SymbolTable) -> None:
        self._table = table
        self._known: dict[str, SymbolBox] = {}
        self._sides: dict[str, frozenset[str]] = {}
        self._terminals: dict[tuple[str, str, str], Terminal | None] = {}

    def __getitem__(self, kind: str, /) -> SymbolBox:
        if kind not in self._known:
            self._known[kind] = self._table[kind]
        return self._known[kind]

    def sides(self, kind: str) -> frozenset[str]:
        """The sides of a symbol at which conductors end."""
        if kind not in self._sides:
            self._sides[kind] = frozenset(terminal.side for terminal in self[kind].terminals.values())
        return self._sides[kind]

    def terminal(self, kind: str, port: str, side: str) -> Terminal | None:
        """The terminal for a port of the spec on one side of a symbol, as `terminal_for` finds it."""
        key = (kind, port, side)
        if key not in self._terminals:
            self._terminals[key] = terminal_for(self[kind], port, side)
        return self._terminals[key]
