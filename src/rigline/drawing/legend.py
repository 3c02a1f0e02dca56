"""The legend: what the symbols and lines on a sheet mean, and only those that stand on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec import Struct, field
from msgspec.structs import replace

from rigline.drawing.flags import FLAG_HALF_MM, flag_ink
from rigline.drawing.ink import Ink, Placing, moved, symbol_ink
from rigline.drawing.lines import EDGE_MM, LINE_STYLES, LineInk, line_ink
from rigline.drawing.symbol import Circle, Polyline, Stroke, Symbol
from rigline.drawing.symbols import ALL_KINDS, REFERENCES, symbol_for
from rigline.drawing.wires import slash_ink
from rigline.layout.plan import CHANGE, PlacedWire, Sheet, Text
from rigline.layout.text import shortened
from rigline.standards.colors import letters

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
LINE_NAMES = {"dc": "DC circuit", "ac": "AC circuit", "bond": "Bond or earth", "sense": "Sense or data"}
Colors = Mapping[str, tuple[str, ...]]
"""Wire -> letters of its conductors, the live one first."""
REFERENCE_NAME = "Not shown here"
FLAG_NAMES = {
    "danger": "Danger",
    "fault": "Fault",
    "question": "Question",
    "advice": "Advice",
    CHANGE: "Changed",
}
"""Severity of a finding, or change -> what its flag says."""


class Entry(Struct, frozen=True):
    """A picture round (0, 0) and what it means."""

    picture: Ink
    name: str
    upon: Ink = field(default_factory=Ink)
    """What lies on the picture in another ink."""


def _line_entry(key: str, name: str, codes: tuple[str, ...] | None = None) -> Entry:
    style = LINE_STYLES[key]
    half = PICTURE_MM[0] / 2
    dash = tuple(round(SAMPLE_DASH * length, 3) for length in style.dash_mm)
    sample = Polyline(((-half, 0.0), (half, 0.0)), style.width_mm, dash_mm=dash)
    color = LineInk("black") if codes is None else line_ink(key, codes)
    if not color.edged:
        return Entry(Ink((sample,), color=color.ink), name)
    under = replace(sample, width_mm=style.width_mm + 2 * EDGE_MM)
    return Entry(Ink((under,)), name, Ink((sample,), color=color.ink))


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


def _line_entries(sheets: tuple[Sheet, ...], colors: Colors | None) -> Iterable[Entry]:
    """Line styles in use. Without colour, DC and AC circuits are the same line, and their letters tell them apart."""
    wires = [wire for sheet in sheets for wire in sheet.wires]
    kinds = {wire.kind for wire in wires}
    if colors is not None:
        yield from _colored_entries(wires, colors)
    else:
        if kinds & {"dc", "ac"}:
            yield _line_entry("dc", "DC or AC circuit")
        yield from (_line_entry(kind, LINE_STYLES[kind].name) for kind in ("bond", "sense") if kind in kinds)
    if any(wire.slashes and wire.conductors > 1 for wire in wires):
        half = PICTURE_MM[0] / 2
        line = Polyline(((-half, 0.0), (half, 0.0)), LINE_STYLES["dc"].width_mm)
        yield Entry(Ink((line,)) + slash_ink((0.0, 0.0), 2, upright=False), "2 conductors")
    if any(_has_later(sheet) for sheet in sheets):
        yield _line_entry("later", LINE_STYLES["later"].name)
    if any(placed.kind in REFERENCES for sheet in sheets for placed in sheet.symbols):
        yield Entry(symbol_ink(REFERENCES["reference-out"], Placing(0.0, 0.0, 270, 0.7)), REFERENCE_NAME)
    if any(sheet.frames for sheet in sheets):
        yield _line_entry("place", LINE_STYLES["place"].name)


def _colored_entries(wires: Iterable[PlacedWire], colors: Colors) -> Iterable[Entry]:
    """Each kind of wire in each ink that it has on the sheet."""
    used = {kind: dict[LineInk, tuple[str, ...]]() for kind in LINE_NAMES}
    for wire in wires:
        codes = colors.get(wire.id, ())
        used[wire.kind].setdefault(line_ink(wire.kind, codes), codes)
    for kind, inks in used.items():
        for codes in inks.values():
            word = f", {letters()[codes[0]].word}" if len(inks) > 1 and codes else ""
            yield _line_entry(kind, f"{LINE_NAMES[kind]}{word}", codes)


def _flag_entries(sheets: tuple[Sheet, ...]) -> list[Entry]:
    """The flags in use, without their numbers, a little smaller than on the drawing."""
    flags = [flag for sheet in sheets for flag in sheet.flags]
    used = {flag.severity for flag in flags if not flag.waived}
    entries = [Entry(_small_flag(severity, False), name) for severity, name in FLAG_NAMES.items() if severity in used]
    if any(flag.waived for flag in flags):
        entries.append(Entry(_small_flag("question", True), "Waived"))
    return entries


def _small_flag(severity: str, waived: bool) -> Ink:
    outline = flag_ink(0, severity, 0.0, 0.0, waived).strokes
    scale = PICTURE_MM[1] / 2 / FLAG_HALF_MM
    return Ink(tuple(_scaled(stroke, scale) for stroke in outline))


def _scaled(stroke: Stroke, scale: float) -> Stroke:
    if isinstance(stroke, Circle):
        return replace(stroke, radius_mm=stroke.radius_mm * scale)
    if isinstance(stroke, Polyline):
        return replace(stroke, points=tuple((x * scale, y * scale) for x, y in stroke.points))
    return stroke


def legend_entries(sheets: tuple[Sheet, ...], style: str, colors: Colors | None) -> list[Entry]:
    """What stands on the sheets: lines first, then symbols by family, then flags."""
    kinds = {placed.kind for sheet in sheets for placed in sheet.symbols}
    kinds |= {bar.kind for sheet in sheets for bar in sheet.bars}
    symbols = [_symbol_entry(symbol_for(kind, style)) for kind in ALL_KINDS if kind in kinds]
    return [*_line_entries(sheets, colors), *symbols, *_flag_entries(sheets)]


def entry_ink(entry: Entry, x: float, y: float, room_mm: float) -> list[Ink]:
    """An entry whose picture's left edge is at x and whose middle is at y, cut to its room."""
    name = shortened(entry.name, room_mm - NAME_X_MM, NAME_MM)
    picture = moved(entry.picture, x + PICTURE_MM[0] / 2, y)
    upon = [moved(entry.upon, x + PICTURE_MM[0] / 2, y)] if entry.upon.strokes else []
    return [picture, *upon, Ink(texts=(Text(x + NAME_X_MM, y + NAME_MM / 2, name, NAME_MM),))]
