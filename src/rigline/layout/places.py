"""Where things stand in the vehicle, shown on the sheet.

Components of one place that stand together get a boundary with the place's name. A boundary that would also enclose
something of another place would be wrong, so whatever stands apart gets the name of its place in its own label.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from itertools import combinations, pairwise
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from rigline.layout.oneline import OneLine
from rigline.layout.plan import Frame, PlacedBar, PlacedSymbol, Point, Sheet, SheetPlan, Text
from rigline.layout.sheet import Box, drawing_area
from rigline.layout.symbols import SymbolTable
from rigline.layout.text import ascent_mm, descent_mm, text_box, text_width_mm

PAD_MM = 2.0
"""Free space between a boundary and what it encloses. Our own choice."""
PADS_MM = (PAD_MM, 1.5, 1.1, *(2.5 + 0.25 * step for step in range(31)))
"""The same, best first, where something else stands in the way. Our own choice."""
CLEAR_MM = 1.0
"""A boundary and its name keep so far from everything else. Our own choice."""
BESIDE_MM = 1.0
"""A wire along a boundary keeps so much more than the clearance. Our own choice."""
HALF_BAR_MM = 0.7
"""Half the width of a bar. Source: ISO 128, 1.4 mm line (from memory)."""
NAME_MM = 2.5
"""Height of a place's name. Source: ISO 3098 step (from memory)."""
PITCH_MM = 1.6 * NAME_MM
"""From a label's line to the name below it. Source: ASME Y14.2-2008, 4.5: a gap of half to one letter height."""
APART_MM = 60.0
"""Things further from each other do not stand together. Our own choice."""

Item = TypeVar("Item", PlacedSymbol, PlacedBar)


def place_of(one_line: OneLine) -> dict[str, str]:
    """The place of every station and device that has one."""
    found = {station.id: station.place for station in one_line.stations if station.place}
    devices = (device for feeder in one_line.feeders for device in feeder.devices)
    return found | {device.id: device.place for device in devices if device.place}


def with_places_named(one_line: OneLine, ids: frozenset[str]) -> OneLine:
    """The one-line with the place as a last line in the labels of some stations and devices."""
    stations = tuple(
        replace(station, lines=(*station.lines, in_brackets(station.place or ""))) if station.id in ids else station
        for station in one_line.stations
    )
    feeders = tuple(
        replace(
            feeder,
            devices=tuple(
                replace(device, lines=(*device.lines, in_brackets(device.place or ""))) if device.id in ids else device
                for device in feeder.devices
            ),
        )
        for feeder in one_line.feeders
    )
    return replace(one_line, stations=stations, feeders=feeders)


def framed(plan: SheetPlan, places: Mapping[str, str], symbols: SymbolTable) -> tuple[SheetPlan, frozenset[str]]:
    """The plan with the places marked, and the symbols and bars for whose place it has no room."""
    area, sheets, crowded = drawing_area(plan.size), [], set()
    for sheet in plan.sheets:
        marks = _Marks(sheet, places, symbols, area)
        sheets.append(marks.marked())
        crowded |= marks.crowded
    return SheetPlan(plan.size, tuple(sheets)), frozenset(crowded)


def _grown(box: Box, by: float) -> Box:
    return Box(box.x0_mm - by, box.y0_mm - by, box.x1_mm + by, box.y1_mm + by)


def _round(boxes: Iterable[Box]) -> Box:
    """The smallest box round several."""
    found = list(boxes)
    return Box(
        min(box.x0_mm for box in found), min(box.y0_mm for box in found),
        max(box.x1_mm for box in found), max(box.y1_mm for box in found),
    )  # fmt: skip


def _meet(a: Box, b: Box) -> bool:
    return a.x0_mm < b.x1_mm and b.x0_mm < a.x1_mm and a.y0_mm < b.y1_mm and b.y0_mm < a.y1_mm


def _within(inner: Box, outer: Box) -> bool:
    return (
        outer.x0_mm <= inner.x0_mm
        and inner.x1_mm <= outer.x1_mm
        and outer.y0_mm <= inner.y0_mm
        and inner.y1_mm <= outer.y1_mm
    )


def _gap(a: Box, b: Box) -> float:
    """Distance between two boxes."""
    dx = max(0.0, a.x0_mm - b.x1_mm, b.x0_mm - a.x1_mm)
    dy = max(0.0, a.y0_mm - b.y1_mm, b.y0_mm - a.y1_mm)
    return dx + dy


def _edges(box: Box) -> tuple[Box, ...]:
    """The four sides, each as a box without breadth but for the clearance."""
    x0, y0, x1, y1 = box.x0_mm, box.y0_mm, box.x1_mm, box.y1_mm
    sides = (Box(x0, y0, x1, y0), Box(x0, y1, x1, y1), Box(x0, y0, x0, y1), Box(x1, y0, x1, y1))
    return tuple(_grown(side, CLEAR_MM) for side in sides)


class _Thing(Struct, frozen=True, dict=True):
    """A symbol or a bar with its label."""

    id: str
    place: str | None
    body: Box
    texts: tuple[Text, ...]

    @cached_property
    def box(self) -> Box:
        """Body and label."""
        return _round([self.body, *_text_boxes(self.texts)])


def _things(sheet: Sheet, places: Mapping[str, str], symbols: SymbolTable) -> list[_Thing]:
    found = []
    for symbol in sheet.symbols:
        outline = symbols[symbol.kind]
        w, h = outline.width_mm / 2, outline.height_mm / 2
        body = Box(symbol.x_mm - w, symbol.y_mm - h, symbol.x_mm + w, symbol.y_mm + h)
        found.append(_Thing(symbol.id, places.get(symbol.id), body, symbol.texts))
    for bar in sheet.bars:
        body = Box(bar.x0_mm, bar.y_mm - CLEAR_MM, bar.x1_mm, bar.y_mm + CLEAR_MM)
        found.append(_Thing(bar.id, places.get(bar.id), body, bar.texts))
    return found


class _Marks:
    """Finds the boundaries and the names of places on one sheet."""

    def __init__(self, sheet: Sheet, places: Mapping[str, str], symbols: SymbolTable, area: Box) -> None:
        self.sheet, self.area = sheet, area
        self.things = _things(sheet, places, symbols)
        self.owned = [(thing.id, box) for thing in self.things for box in _text_boxes(thing.texts)]
        self.texts = [box for wire in sheet.wires for box in _text_boxes(wire.texts)]
        self.texts += [Box(flag.x_mm - 2.5, flag.y_mm - 2.5, flag.x_mm + 2.5, flag.y_mm + 2.5) for flag in sheet.flags]
        self.lines = [_line(a, b) for wire in sheet.wires for a, b in pairwise(wire.points)]
        self.bars = [_line((bar.x0_mm, bar.y_mm), (bar.x1_mm, bar.y_mm)) for bar in sheet.bars]
        self.taken = [*self._all_texts(), *(_grown(bar, HALF_BAR_MM) for bar in self.bars)]
        """What no boundary may touch."""
        self.tried: dict[tuple[str, Box], Frame | None] = {}
        self.crowded: set[str] = set()

    def marked(self) -> Sheet:
        """The sheet with boundaries, and with names in the labels of what stands outside of them."""
        frames = self._frames()
        self.texts += [Box(*text_box(frame.text)) for frame in frames]
        edges = [edge for frame in frames for edge in _edges(_box(frame))]
        named: dict[str, Text] = {}
        for thing in self.things:
            inside = any(frame.text.text == thing.place and _within(thing.body, _box(frame)) for frame in frames)
            if thing.place is None or inside:
                continue
            text = self._beside(thing, edges)
            if text is None:
                self.crowded.add(thing.id)
            else:
                named[thing.id] = text
                self.texts.append(Box(*text_box(text)))
        symbols = tuple(_with_text(symbol, named) for symbol in self.sheet.symbols)
        bars = tuple(_with_text(bar, named) for bar in self.sheet.bars)
        return replace(self.sheet, frames=frames, symbols=symbols, bars=bars)

    def _all_texts(self) -> list[Box]:
        return [*self.texts, *(box for _, box in self.owned)]

    def _beside(self, thing: _Thing, edges: list[Box]) -> Text | None:
        """The name of a place at a thing's own label: behind it, below it, above it, or at either side of the thing."""
        words = in_brackets(thing.place or "")
        upright = [text for text in thing.texts if text.turn_deg == 0 and text.anchor == "start"]
        middle = (thing.body.y0_mm + thing.body.y1_mm + NAME_MM) / 2
        places = [(thing.body.x0_mm - 2 * CLEAR_MM, middle, "end"), (thing.body.x1_mm + 2 * CLEAR_MM, middle, "start")]
        if upright:
            first, last = upright[0], upright[-1]
            behind = last.x_mm + text_width_mm(last.text, last.capital_mm, last.bold) + 2 * CLEAR_MM
            rest = [(last.x_mm, last.y_mm + PITCH_MM, "start"), (first.x_mm, first.y_mm - PITCH_MM - 1.0, "start")]
            places = [(behind, last.y_mm, "start"), *rest, *places]
        others = [*self.texts, *edges, *(box for owner, box in self.owned if owner != thing.id)]
        others += [other.body for other in self.things if other is not thing]
        own = [thing.body, *_text_boxes(thing.texts)]
        for x, y, anchor in places:
            text = Text(round(x, 3), round(y, 3), words, NAME_MM, anchor)
            box = Box(*text_box(text))
            if self._is_free(box, others) and not any(_meet(box, mine) for mine in own):
                return text
        return None

    def _frames(self) -> tuple[Frame, ...]:
        """A boundary for every group of two or more."""
        found: list[Frame] = []
        for place in dict.fromkeys(thing.place for thing in self.things if thing.place):
            for group in self._groups(place):
                frame = self._frame(place, group)
                if frame is not None:
                    room = _grown(_named(frame), CLEAR_MM)
                    found += [] if any(_meet(room, _named(other)) for other in found) else [frame]
        return tuple(found)

    def _groups(self, place: str) -> list[list[Box]]:
        """What stands together: the nearest are joined first, as long as a boundary round them is right."""
        groups = [[thing.box] for thing in self.things if thing.place == place]
        while True:
            pairs = sorted(
                ((_gap(_round(a), _round(b)), i, j) for (i, a), (j, b) in combinations(enumerate(groups), 2)),
            )
            joined = next(
                ((i, j) for gap, i, j in pairs if gap <= APART_MM and self._frame(place, groups[i] + groups[j])), None
            )
            if joined is None:
                return [group for group in groups if len(group) > 1]
            i, j = joined
            groups[i] += groups.pop(j)

    def _frame(self, place: str, group: list[Box]) -> Frame | None:
        """A boundary that encloses nothing of another place and touches nothing, with room for its name."""
        inner = _round(group)
        if (place, inner) not in self.tried:
            self.tried[place, inner] = self._frame_round(place, inner)
        return self.tried[place, inner]

    def _frame_round(self, place: str, inner: Box) -> Frame | None:
        least = _grown(inner, min(PADS_MM))
        box = self._padded(inner) if self._is_own(place, least) else None
        if box is None or not _within(box, self.area) or not self._is_own(place, box):
            return None
        name = self._name(box, place)
        return Frame(box.x0_mm, box.y0_mm, box.x1_mm, box.y1_mm, name) if name is not None else None

    def _is_own(self, place: str, box: Box) -> bool:
        """Nothing of another place stands in a box or near it."""
        wide = _grown(box, CLEAR_MM)
        return not any(thing.place != place and _meet(thing.box, wide) for thing in self.things)

    def _padded(self, inner: Box) -> Box | None:
        """The box with each side as far out as it has to be to touch nothing."""
        box = _grown(inner, PAD_MM)
        for _ in range(2):
            for number in range(4):
                choices = (_moved_side(box, inner, number, pad) for pad in PADS_MM)
                clear = next((choice for choice in choices if self._clear(_edges(choice)[number])), None)
                if clear is None:
                    return None
                box = clear
        return box if all(self._clear(edge) for edge in _edges(box)) else None

    def _clear(self, edge: Box) -> bool:
        return not any(_meet(edge, box) for box in self.taken) and not any(_along(edge, line) for line in self.lines)

    def _name(self, box: Box, place: str) -> Text | None:
        """The name above the boundary or below it, at the left or the right, wherever nothing else stands."""
        width = text_width_mm(place, NAME_MM)
        above, below = box.y0_mm - CLEAR_MM - descent_mm(NAME_MM), box.y1_mm + CLEAR_MM + ascent_mm(NAME_MM)
        under, over = box.y0_mm + CLEAR_MM + ascent_mm(NAME_MM), box.y1_mm - CLEAR_MM - descent_mm(NAME_MM)
        flush, inset = (box.x0_mm, box.x1_mm - width), (box.x0_mm + 1.5, box.x1_mm - width - 1.5)
        for y, xs in ((above, flush), (under, inset), (over, inset), (below, flush)):
            for x in xs:
                text = Text(round(x, 3), round(y, 3), place, NAME_MM)
                if self._is_free(Box(*text_box(text)), [*self._all_texts(), *(thing.body for thing in self.things)]):
                    return text
        return None

    def _is_free(self, box: Box, others: Iterable[Box]) -> bool:
        wide = _grown(box, CLEAR_MM)
        return _within(box, self.area) and not any(_meet(wide, other) for other in (*others, *self.lines, *self.bars))


def _along(edge: Box, line: Box) -> bool:
    """A wire runs along a boundary near it, or turns on it, instead of crossing it at a right angle."""
    level = edge.x1_mm - edge.x0_mm > edge.y1_mm - edge.y0_mm
    if level == (line.x1_mm - line.x0_mm > line.y1_mm - line.y0_mm):
        return _meet(_grown(edge, BESIDE_MM), line)
    if not _meet(edge, line):
        return False
    if level:
        return not (line.y0_mm < edge.y0_mm and line.y1_mm > edge.y1_mm)
    return not (line.x0_mm < edge.x0_mm and line.x1_mm > edge.x1_mm)


def _moved_side(box: Box, inner: Box, number: int, pad: float) -> Box:
    """The box with one side at a distance from what it encloses; sides as `_edges` counts them."""
    sides = {0: ("y0_mm", inner.y0_mm - pad), 1: ("y1_mm", inner.y1_mm + pad)}
    sides |= {2: ("x0_mm", inner.x0_mm - pad), 3: ("x1_mm", inner.x1_mm + pad)}
    name, value = sides[number]
    return replace(box, **{name: value})


def _line(a: Point, b: Point) -> Box:
    """A stretch of a wire, as broad as nothing."""
    return _grown(Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])), 0.01)


def _box(frame: Frame) -> Box:
    return Box(frame.x0_mm, frame.y0_mm, frame.x1_mm, frame.y1_mm)


def _text_boxes(texts: Iterable[Text]) -> list[Box]:
    return [Box(*text_box(text)) for text in texts]


def _named(frame: Frame) -> Box:
    """A boundary with its name."""
    return _round([_box(frame), *_text_boxes([frame.text])])


def _with_text(item: Item, named: Mapping[str, Text]) -> Item:
    return replace(item, texts=(*item.texts, named[item.id])) if item.id in named else item


def in_brackets(place: str) -> str:
    """The name of a place in a label."""
    return f"({place})"
