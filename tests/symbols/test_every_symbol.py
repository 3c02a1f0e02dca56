"""What must be true of every symbol in both sets."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from rigline.drawing.ink import Placing, glyph_text, symbol_ink
from rigline.drawing.legend import KIND_NAMES
from rigline.drawing.symbol import Arc, Box, Circle, Glyph, Point, Polyline, Stroke, Symbol
from rigline.drawing.symbols import ALL_KINDS, SETS, symbol_for
from rigline.layout.symbols import GRID_MM
from rigline.layout.text import text_box

KINDS = [
    *("battery", "pv-array", "alternator", "wind-turbine", "hydro-turbine", "shore-inlet", "generator"),
    *("vehicle-battery", "charge-controller", "dc-charger", "dc-converter", "ac-charger", "inverter"),
    *("inverter-charger", "transformer", "autotransformer", "busbar", "fuse-block", "dc-panel", "ac-panel"),
    *("junction", "connector", "fuse", "breaker", "switch", "selector", "relay", "transfer-switch", "rcd"),
    *("surge-protector", "diode-isolator", "dump-load", "shunt", "monitor", "sensor", "chassis"),
    *("earth-electrode", "earth-bus", "galvanic-isolator", "dc-load", "ac-load", "receptacle", "motor"),
]
IN_LINE = ("fuse", "breaker", "switch", "relay", "connector", "rcd", "shunt", "galvanic-isolator", "diode-isolator")
EVERY = [symbol_for(kind, style) for style in SETS for kind in ALL_KINDS]
every_symbol = pytest.mark.parametrize("symbol", EVERY, ids=[f"{style}-{kind}" for style in SETS for kind in ALL_KINDS])


def corners(stroke: Polyline | Box) -> list[Point]:
    """The points of a line or box, the first one again at the end if it is closed."""
    if isinstance(stroke, Box):
        (x0, y0), (x1, y1) = stroke.start, stroke.end
        return [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
    return [*stroke.points, stroke.points[0]] if stroke.closed else list(stroke.points)


def samples(stroke: Stroke) -> list[Point]:
    """Points along the middle of a stroke, at most a tenth of a millimetre apart, ends included."""
    if isinstance(stroke, Glyph):
        return []
    if isinstance(stroke, Circle | Arc):
        start, end = (0.0, 360.0) if isinstance(stroke, Circle) else (stroke.start_deg, stroke.end_deg)
        angles = [math.radians(start + (end - start) * i / 400) for i in range(401)]
        (x, y), r = stroke.center, stroke.radius_mm
        return [(x + r * math.cos(a), y + r * math.sin(a)) for a in angles]
    points: list[Point] = []
    for (x0, y0), (x1, y1) in pairwise(corners(stroke)):
        count = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / 0.1))
        points += [(x0 + (x1 - x0) * i / count, y0 + (y1 - y0) * i / count) for i in range(count + 1)]
    return points


def all_samples(symbol: Symbol) -> list[Point]:
    return [point for stroke in symbol.strokes for point in samples(stroke)]


def test_every_kind_of_component_has_a_symbol_in_both_sets_and_a_name() -> None:
    assert sorted(SETS["iec"]) == sorted(KINDS)
    assert sorted(SETS["ieee"]) == sorted(KINDS)
    assert sorted(KIND_NAMES) == sorted(KINDS)


@every_symbol
def test_terminals_stand_on_the_grid(symbol: Symbol) -> None:
    off = [name for name, t in symbol.terminals.items() if t.x_mm % GRID_MM or t.y_mm % GRID_MM]
    assert off == []


@every_symbol
def test_terminals_stand_on_the_outline_and_face_outwards(symbol: Symbol) -> None:
    x0, y0, x1, y1 = symbol.extent
    side = {"N": lambda t: t.y_mm == y0, "S": lambda t: t.y_mm == y1, "W": lambda t: t.x_mm == x0}
    side["E"] = lambda t: t.x_mm == x1
    assert [name for name, t in symbol.terminals.items() if not side[t.side](t)] == []


@every_symbol
def test_a_conductor_meets_ink_at_every_terminal(symbol: Symbol) -> None:
    ink = all_samples(symbol)
    gaps = {name: min(math.dist((t.x_mm, t.y_mm), point) for point in ink) for name, t in symbol.terminals.items()}
    assert {name: gap for name, gap in gaps.items() if gap > 0.06} == {}


@every_symbol
def test_strokes_stay_inside_the_outline(symbol: Symbol) -> None:
    x0, y0, x1, y1 = symbol.extent
    outside = [
        (x, y) for x, y in all_samples(symbol) if not (x0 - 1e-6 <= x <= x1 + 1e-6 and y0 - 1e-6 <= y <= y1 + 1e-6)
    ]
    assert outside == []


@every_symbol
def test_letters_in_a_symbol_touch_no_stroke(symbol: Symbol) -> None:
    boxes = [text_box(glyph_text(stroke)) for stroke in symbol.strokes if isinstance(stroke, Glyph)]
    struck = [
        (x, y) for x, y in all_samples(symbol) for x0, y0, x1, y1 in boxes if x0 <= x <= x1 and y0 <= y <= y1 - 0.57
    ]
    assert struck == []


@every_symbol
def test_label_slots_keep_clear_of_the_strokes(symbol: Symbol) -> None:
    x0, _, x1, y1 = symbol.extent
    clear = {
        "right": symbol.slots["right"].x_mm - x1,
        "left": x0 - symbol.slots["left"].x_mm,
        "below": symbol.slots["below"].y_mm - y1,
    }
    assert clear == {"right": 2.0, "left": 2.0, "below": 2.0}


@every_symbol
def test_every_symbol_says_where_its_shape_comes_from(symbol: Symbol) -> None:
    named = ("IEC 60617", "IEEE Std 315", "common practice")
    assert any(word in symbol.source for word in named)


@pytest.mark.parametrize("kind", ALL_KINDS)
def test_both_sets_have_the_same_outline_and_terminals(kind: str) -> None:
    iec, ieee = symbol_for(kind, "iec"), symbol_for(kind, "ieee")
    assert iec.extent == ieee.extent
    assert dict(iec.terminals) == dict(ieee.terminals)


@pytest.mark.parametrize("kind", IN_LINE)
def test_a_device_in_line_is_entered_at_the_top_and_left_at_the_bottom_on_one_straight_line(kind: str) -> None:
    ends = symbol_for(kind).terminals
    assert (ends["in"].x_mm, ends["in"].side, ends["out"].x_mm, ends["out"].side) == (0.0, "N", 0.0, "S")


@every_symbol
def test_a_symbol_turned_a_quarter_four_times_is_itself(symbol: Symbol) -> None:
    for terminal in symbol.terminals.values():
        point = (terminal.x_mm, terminal.y_mm)
        for _ in range(4):
            point = Placing(0.0, 0.0, 90).point(point)
            assert (point[0] % GRID_MM, point[1] % GRID_MM) == (0.0, 0.0)
        assert point == (terminal.x_mm, terminal.y_mm)


@every_symbol
def test_a_small_copy_has_no_letters_below_the_smallest_height(symbol: Symbol) -> None:
    small = symbol_ink(symbol, Placing(0.0, 0.0, scale=0.4))
    assert [text for text in small.texts if text.capital_mm < 1.8] == []
