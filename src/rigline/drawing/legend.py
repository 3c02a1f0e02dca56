"""The legend: what the symbols and lines on a sheet mean, and only those that stand on it."""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from rigline.drawing.ink import Ink, Placing, moved, symbol_ink
from rigline.drawing.lines import LINE_STYLES
from rigline.drawing.symbol import Polyline, Symbol
from rigline.drawing.symbols import ALL_KINDS, symbol_for
from rigline.drawing.wires import slash_ink
from rigline.layout.plan import Sheet, Text
from rigline.layout.text import shortened

PICTURE_MM = (6.4, 4.2)
"""Room for the picture of an entry. Our own choice."""
ROW_MM = 5.0
"""From one entry to the next. Our own choice."""
NAME_X_MM = 7.0
"""From the left edge of an entry to its name."""
NAME_MM = 1.8
"""Height of the names. Source: ISO 3098 series (from memory)."""
LEAST_COLUMN_MM = 27.5
"""Width that most names fit in."""
SAMPLE_DASH = 0.5
"""Dashes of a sample are shorter than on the drawing, or the pattern would not show in its small room."""
LARGEST_SCALE = 0.7
"""Small symbols don't fill the picture."""

KIND_NAMES = {
    "battery": "Battery",
    "pv-array": "PV array",
    "alternator": "Alternator",
    "wind-turbine": "Wind turbine",
    "hydro-turbine": "Hydro turbine",
    "shore-inlet": "Shore inlet",
    "generator": "Generator",
    "vehicle-battery": "Vehicle battery",
    "charge-controller": "Charge controller",
    "dc-charger": "DC-DC charger",
    "dc-converter": "DC converter",
    "ac-charger": "AC charger",
    "inverter": "Inverter",
    "inverter-charger": "Inverter-charger",
    "transformer": "Transformer",
    "autotransformer": "Autotransformer",
    "busbar": "Busbar",
    "fuse-block": "Fuse block",
    "dc-panel": "DC panel",
    "ac-panel": "AC panel",
    "junction": "Junction",
    "connector": "Connector",
    "fuse": "Fuse",
    "breaker": "Breaker",
    "switch": "Switch",
    "selector": "Selector",
    "relay": "Relay",
    "transfer-switch": "Transfer switch",
    "rcd": "RCD or GFCI",
    "surge-protector": "Surge protector",
    "diode-isolator": "Diode isolator",
    "dump-load": "Dump load",
    "shunt": "Shunt",
    "monitor": "Monitor",
    "sensor": "Sensor",
    "chassis": "Chassis or frame",
    "earth-electrode": "Earth electrode",
    "earth-bus": "Earth bus",
    "galvanic-isolator": "Galvanic isolator",
    "dc-load": "DC load",
    "ac-load": "AC load",
    "receptacle": "Receptacle",
    "motor": "Motor",
}


class Entry(Struct, frozen=True):
    """A picture round (0, 0) and what it means."""

    picture: Ink
    name: str


def _line_entry(key: str, name: str, color: bool) -> Entry:
    style = LINE_STYLES[key]
    half = PICTURE_MM[0] / 2
    dash = tuple(round(SAMPLE_DASH * length, 3) for length in style.dash_mm)
    sample = Polyline(((-half, 0.0), (half, 0.0)), style.width_mm, dash_mm=dash)
    return Entry(Ink((sample,), color=style.color if color else "black"), name)


def _symbol_entry(symbol: Symbol) -> Entry:
    width, height = PICTURE_MM
    scale = min(width / symbol.width_mm, height / symbol.height_mm, LARGEST_SCALE)
    return Entry(symbol_ink(symbol, Placing(0.0, 0.0, scale=scale)), KIND_NAMES[symbol.kind])


def _has_later(sheet: Sheet) -> bool:
    return (
        any(wire.later for wire in sheet.wires)
        or any(placed.later for placed in sheet.symbols)
        or any(bar.later for bar in sheet.bars)
    )


def _line_entries(sheets: tuple[Sheet, ...], color: bool) -> Iterable[Entry]:
    """Line styles in use. Without colour, DC and AC circuits are the same line."""
    wires = [wire for sheet in sheets for wire in sheet.wires]
    kinds = {wire.kind for wire in wires}
    if color:
        yield from (_line_entry(kind, f"{kind.upper()} circuit", True) for kind in ("dc", "ac") if kind in kinds)
    elif kinds & {"dc", "ac"}:
        yield _line_entry("dc", "DC or AC circuit", False)
    yield from (_line_entry(kind, LINE_STYLES[kind].name, color) for kind in ("bond", "sense") if kind in kinds)
    if any(wire.slashes for wire in wires):
        half = PICTURE_MM[0] / 2
        line = Polyline(((-half, 0.0), (half, 0.0)), LINE_STYLES["dc"].width_mm)
        yield Entry(Ink((line,)) + slash_ink((0.0, 0.0), 2, upright=False), "2 conductors")
    if any(_has_later(sheet) for sheet in sheets):
        yield _line_entry("later", LINE_STYLES["later"].name, False)
    if any(sheet.frames for sheet in sheets):
        yield _line_entry("place", LINE_STYLES["place"].name, False)


def legend_entries(sheets: tuple[Sheet, ...], style: str, color: bool) -> list[Entry]:
    """What stands on the sheets: lines first, then symbols by family. The list of findings explains the flags."""
    kinds = {placed.kind for sheet in sheets for placed in sheet.symbols}
    kinds |= {bar.kind for sheet in sheets for bar in sheet.bars}
    symbols = [_symbol_entry(symbol_for(kind, style)) for kind in ALL_KINDS if kind in kinds]
    return [*_line_entries(sheets, color), *symbols]


def entry_ink(entry: Entry, x: float, y: float, room_mm: float) -> list[Ink]:
    """An entry whose picture's left edge is at x and whose middle is at y, cut to its room."""
    name = shortened(entry.name, room_mm - NAME_X_MM, NAME_MM)
    picture = moved(entry.picture, x + PICTURE_MM[0] / 2, y)
    return [picture, Ink(texts=(Text(x + NAME_X_MM, y + NAME_MM / 2, name, NAME_MM),))]
