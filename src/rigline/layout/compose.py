"""Turns columns and heights into symbols, bars and wires of one sheet.

Here every segment becomes a polyline from terminal to terminal. Wires whose tip stands elsewhere end open; the routing
takes them further.
"""

from __future__ import annotations

from itertools import pairwise

from msgspec import Struct, field

from rigline.layout.columns import Places
from rigline.layout.forest import Block, Limb, Node
from rigline.layout.heights import LABEL_CLEAR_MM, Heights
from rigline.layout.labels import BUS_MM, DATA_MM, FLAG_MM, FLAG_RISE_MM, Stamp, block_height, moved, pitch_mm
from rigline.layout.oneline import Device, Station
from rigline.layout.plan import Dot, Flag, PlacedBar, PlacedSymbol, PlacedWire, Point, Text
from rigline.layout.stamps import NAME_DROP_MM, NAME_GAP_MM, Stamps
from rigline.layout.symbols import GRID_MM, Terminal
from rigline.layout.text import ascent_mm, text_width_mm

SLASH_ROOM_MM = 2.5
"""The slashes' own reach along the wire. Our own choice: three slashes fit."""


UNJUDGED = "question"
"""A flag whose finding is not told: layout only knows the numbers. Asking is the least that it can mean."""


class OpenEnd(Struct):
    """A wire that has to find its way to a target."""

    limb: Limb
    segment: int
    """Index of the wire in the sheet's list; its last point is the open end."""
    at: Point
    heading: str
    """N | S: the direction in which the column leads."""
    at_base: bool = False
    """The open end is the base of the column, not its tip."""


class Drawn(Struct):
    """What stands on one sheet so far."""

    symbols: list[PlacedSymbol] = field(default_factory=list)
    bars: list[PlacedBar] = field(default_factory=list)
    wires: list[PlacedWire] = field(default_factory=list)
    dots: list[Dot] = field(default_factory=list)
    flags: list[Flag] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    open_ends: list[OpenEnd] = field(default_factory=list)

    def all_texts(self) -> list[Text]:
        """Every text on the sheet."""
        result = list(self.texts)
        for symbol in self.symbols:
            result.extend(symbol.texts)
        for bar in self.bars:
            result.extend(bar.texts)
        for wire in self.wires:
            result.extend(wire.texts)
        return result


class Composer:
    """Draws the blocks of one sheet, with their top left corner at (dx, dy)."""

    def __init__(self, places: Places, heights: Heights, stamps: Stamps, origin: Point) -> None:
        self.places, self.heights, self.stamps = places, heights, stamps
        self.dx, self.dy = origin
        self.drawn = Drawn()

    def draw(self, blocks: list[Block]) -> Drawn:
        """Everything of the blocks."""
        for block in blocks:
            for node in block.nodes():
                if node.is_earth_bar:
                    self._earth_bar(node)
                elif node.is_bar:
                    self._bar(node)
                else:
                    self._station(node)
            for owner, limb in block.all_limbs():
                if not limb.slot:
                    self._limb(owner, limb)
            for node in block.nodes():
                self._dots(node)
        return self.drawn

    # -- where things are -------------------------------------------------------------------------------------------

    def node_at(self, node: Node) -> Point:
        """A symbol's centre on the sheet."""
        return (self.places.x[node] + self.dx, self.heights.node_y(node) + self.dy)

    def bar_y(self, bar: Node) -> float:
        """Height of a bar on the sheet."""
        return self.heights.node_y(bar) + self.dy

    def axis(self, limb: Limb) -> float:
        """Where a column's line stands on the sheet."""
        return self.places.axis[limb] + self.dx

    def upward(self, limb: Limb) -> bool:
        """The column leads up from its base."""
        return self.heights.rows.level_of[limb] == 0 and not limb.pendant

    # -- stations ---------------------------------------------------------------------------------------------------

    def _stamp(self, stamp: Stamp, at: Point) -> tuple[Text, ...]:
        for number, x, y in stamp.flags:
            self.drawn.flags.append(Flag(number, UNJUDGED, at[0] + x, at[1] + y))
        return tuple(moved(text, at[0], at[1]) for text in stamp.texts)

    def _symbol(self, item: Station | Device, stamp: Stamp, at: Point, turn: int = 0) -> None:
        texts = self._stamp(stamp, at)
        self.drawn.symbols.append(PlacedSymbol(item.id, item.kind, at[0], at[1], turn, texts, item.later, item.title))

    def _station(self, node: Node) -> None:
        turn = 180 if self.stamps.is_turned(node) else 0
        self._symbol(node.station, self.stamps.node(node), self.node_at(node), turn)

    def _bar(self, bar: Node) -> None:
        low, high = self.places.bar[bar]
        y, station = self.bar_y(bar), bar.station
        self.drawn.bars.append(
            PlacedBar(
                station.id, station.kind, low + self.dx, high + self.dx, y, station.medium,
                self._bar_label(bar, y), station.later, station.title,
            )
        )  # fmt: skip

    # -- earth buses ------------------------------------------------------------------------------------------------

    def earth_axis(self, earth: Node) -> float:
        """Where the column of an earth stands on the sheet."""
        return self.places.x[earth] + self.dx

    def earth_bar_ends(self, earth: Node) -> Point:
        """From where to where an earth bus reaches: over all its taps between which nothing else goes down."""
        limbs = self.heights.floor_limbs
        mine = [limb for limb in limbs if limb.tip is earth or self._on(limb, earth)]
        taps = {self.axis(limb) for limb in mine}
        foreign = [self.axis(limb) for limb in limbs if limb not in mine]
        middle = self.earth_axis(earth)
        lowest = max((x for x in foreign if x < middle), default=-1e9)
        highest = min((x for x in foreign if x > middle), default=1e9)
        # An earth bus that nothing is tied to has no tap; it is drawn all the same.
        inside = [x for x in taps if lowest < x < highest] or [middle]
        ends = (min(inside) - GRID_MM, max(inside) + GRID_MM)
        return (max(ends[0], lowest + GRID_MM), min(ends[1], highest - GRID_MM))

    def _on(self, limb: Limb, earth: Node) -> bool:
        ends = [limb.joint, limb.base if self.heights.hangs(limb) else None]
        return any(end is not None and end.reference is None and end.station == earth.station.id for end in ends)

    def _earth_bar(self, earth: Node) -> None:
        """A bar at the bottom with its label below it."""
        low, high = self.earth_bar_ends(earth)
        x, y, station = self.earth_axis(earth), self.heights.node_y(earth) + self.dy, earth.station
        texts = self._stamp(self.stamps.node(earth), (x, y))
        self.drawn.bars.append(
            PlacedBar(
                station.id, station.kind, low, high, y, station.medium, texts, station.later, station.title
            )
        )  # fmt: skip
        self.drawn.dots.append(Dot(x, y))

    def _bar_label(self, bar: Node, y: float) -> tuple[Text, ...]:
        """Designation in large letters, the rest beside or below it, all above the bar."""
        form, x = self.heights.label_form[bar]
        x, lines = round(x + self.dx, 3), self.stamps.bar_lines(bar)
        base = y - LABEL_CLEAR_MM - 0.7
        if form == "row":
            texts, end = [], x
            for number, line in enumerate(lines):
                size, bold = (BUS_MM, True) if number == 0 else (DATA_MM, False)
                texts.append(Text(end, round(base, 3), line, size, bold=bold))
                end += text_width_mm(line, size, bold) + NAME_GAP_MM
            self._bar_flags(bar, end - NAME_GAP_MM, base - FLAG_RISE_MM)
            return tuple(texts)
        rest = lines[1:]
        first = base - (block_height(rest, DATA_MM) + NAME_DROP_MM if rest else 0.0)
        top = base - block_height(rest, DATA_MM) + ascent_mm(DATA_MM)
        texts = [Text(x, round(first, 3), lines[0], BUS_MM, bold=True)]
        for number, line in enumerate(rest):
            texts.append(Text(x, round(top + number * pitch_mm(DATA_MM), 3), line, DATA_MM))
        self._bar_flags(bar, x + text_width_mm(lines[0], BUS_MM, True), first - FLAG_RISE_MM)
        return tuple(texts)

    def _bar_flags(self, bar: Node, x: float, y: float) -> None:
        for index, number in enumerate(bar.station.flags):
            at = x + 1.0 + (index + 0.5) * FLAG_MM
            self.drawn.flags.append(Flag(number, UNJUDGED, at, y))

    # -- columns ----------------------------------------------------------------------------------------------------

    def _limb(self, owner: Node, limb: Limb) -> None:
        axis = self.axis(limb)
        sign = -1.0 if self.upward(limb) else 1.0
        trail = self._base_points(owner, limb)
        tag_ys = [y + self.dy for y in self.heights.tag_ys(limb)]
        device_ys = [y + self.dy for y in self.heights.device_ys(limb)]
        for index, (device, y) in enumerate(zip(limb.devices, device_ys, strict=False)):
            near, far = self._ends(device, sign)
            self._wire(limb, index, trail + self._jog(axis, y, near, -sign), tag_ys[index])
            self._symbol(device, self.stamps.device(limb, device), (axis, y))
            trail = self._jog(axis, y, far, sign)[::-1]
        self._last(limb, trail, tag_ys[-1], sign)

    def _ends(self, device: Device, sign: float) -> tuple[Terminal, Terminal]:
        """Terminals of a device towards the base and towards the tip of its column."""
        box = self.stamps.symbols[device.kind]
        half = box.height_mm / 2
        sides = {t.side: t for t in reversed(list(box.terminals.values()))}
        top, bottom = sides.get("N", Terminal(0.0, -half, "N")), sides.get("S", Terminal(0.0, half, "S"))
        return (top, bottom) if sign > 0 else (bottom, top)

    def _jog(self, axis: float, y: float, end: Terminal, sign: float) -> list[Point]:
        """The last points into a terminal: straight, or with a step to one that is not in line."""
        at = (axis + end.x_mm, y + end.y_mm)
        if end.x_mm == 0:
            return [at]
        step = at[1] + sign * GRID_MM
        return [(axis, step), (at[0], step), at]

    def _base_points(self, owner: Node, limb: Limb) -> list[Point]:
        axis = self.axis(limb)
        if limb.base is not None:
            return [(axis, self.heights.base_y(limb) + self.dy)]
        if owner.is_bar:
            return [(axis, self.bar_y(owner))]
        up = self.upward(limb)
        terminal = self.stamps.terminal(owner, limb.base_port, "N" if up else "S")
        return self._out_of(owner, terminal, axis, up)

    def _out_of(self, node: Node, terminal: Terminal | None, axis: float, up: bool) -> list[Point]:
        """From a symbol's terminal to the line of a column."""
        x, y = self.node_at(node)
        if terminal is None:
            half = self.stamps.box(node).height_mm / 2
            terminal = Terminal(0.0, -half if up else half, "N" if up else "S")
        at = (x + terminal.x_mm, y + terminal.y_mm)
        if at[0] == axis:
            return [at]
        if terminal.side in "WE":
            return [at, (axis, at[1])]
        fan = self.heights.fan_y(node, up) + self.dy
        return [at, (at[0], fan), (axis, fan)]

    def _last(self, limb: Limb, trail: list[Point], tag_y: float, sign: float) -> None:
        """The segment from the last device to the tip."""
        axis, tip = self.axis(limb), limb.tip
        index = len(limb.devices)
        if tip is None:
            end = (axis, self.heights.open_y(limb) + self.dy)
            self._wire(limb, index, [*trail, end], tag_y)
            self._open(limb, end, "N" if sign < 0 else "S")
        elif tip.is_earth_bar:
            self._wire(limb, index, [*trail, (axis, self.heights.node_y(tip) + self.dy)], tag_y)
        elif tip.is_bar:
            self._wire(limb, index, [*trail, (axis, self.bar_y(tip))], tag_y)
            self.drawn.dots.append(Dot(axis, self.bar_y(tip)))
        else:
            terminal = self.stamps.terminal(tip, limb.tip_port, self.stamps.inward(tip))
            into = self._out_of(tip, terminal, axis, sign > 0)[::-1]
            self._wire(limb, index, trail + into, tag_y)
        if limb.base is not None:
            base = (axis, self.heights.base_y(limb) + self.dy)
            first = len(self.drawn.wires) - len(limb.devices) - 1
            self.drawn.open_ends.append(OpenEnd(limb, first, base, "N", at_base=True))

    def _open(self, limb: Limb, end: Point, heading: str) -> None:
        self.drawn.open_ends.append(OpenEnd(limb, len(self.drawn.wires) - 1, end, heading))

    def _wire(self, limb: Limb, index: int, points: list[Point], tag_y: float) -> None:
        if index >= len(limb.tags):
            return
        tag, feeder, axis = limb.tags[index], limb.feeder, self.axis(limb)
        texts = self._stamp(self.stamps.tags(limb)[index], (axis, tag_y))
        continued = feeder.inner or (limb.continued and index == len(limb.devices))
        counted = index == 0 and feeder.kind in ("dc", "ac") and not continued
        slashes = self._slashes(points, axis, tag_y) if counted else None
        run = feeder.runs[0] if len(feeder.runs) == 1 else run_of(tag.segment, feeder.runs)
        self.drawn.wires.append(
            PlacedWire(
                tag.segment, run, feeder.kind, straightened(points), texts, slashes,
                feeder.conductors, tag.sized, feeder.later, tag.title, continued,
            )
        )  # fmt: skip

    def _slashes(self, points: list[Point], axis: float, tag_y: float) -> Point | None:
        """Beside the tag, on a stretch of the column's line that is long enough."""
        room = SLASH_ROOM_MM
        for (ax, ay), (bx, by) in pairwise(straightened(points)):
            low, high = min(ay, by) + room, max(ay, by) - room
            if ax == bx == axis and low <= high:
                return (axis, min(max(tag_y, low), high))
        return None

    # -- dots -------------------------------------------------------------------------------------------------------

    def _dots(self, node: Node) -> None:
        limbs = [limb for limb in node.limbs() if not limb.slot and limb.base is None]
        if node.is_bar:
            self.drawn.dots.extend(Dot(self.axis(limb), self.bar_y(node)) for limb in limbs)
            return
        for up in (True, False):
            groups: dict[float, list[float]] = {}
            for limb in limbs:
                if self.upward(limb) == up:
                    terminal = self.stamps.terminal(node, limb.base_port, "N" if up else "S")
                    if terminal is None or terminal.side not in "WE":
                        groups.setdefault(terminal.x_mm if terminal else 0.0, []).append(self.axis(limb))
            for x, axes in groups.items():
                if len(axes) > 1:
                    self._fan_dots(node, self.node_at(node)[0] + x, axes, up)

    def _fan_dots(self, node: Node, root: float, axes: list[float], up: bool) -> None:
        """Dots where three or more wires meet on a fan's line."""
        y = self.heights.fan_y(node, up) + self.dy
        for x in sorted({root, *axes}):
            ways = (x == root) + (x in axes) + any(a < x for a in (*axes, root)) + any(a > x for a in (*axes, root))
            if ways > 2:
                self.drawn.dots.append(Dot(x, y))


def run_of(segment: str, runs: tuple[str, ...]) -> str:
    """The run to which a segment belongs: the longest run id with which its own id begins."""
    fitting = [run for run in runs if segment.startswith(run)]
    return max(fitting, key=len) if fitting else (runs[0] if runs else segment)


def straightened(points: list[Point]) -> tuple[Point, ...]:
    """A polyline without repeated points and without corners that are none."""
    result: list[Point] = []
    for point in points:
        if result and result[-1] == point:
            continue
        if len(result) > 1:
            (ax, ay), (bx, by) = result[-2], result[-1]
            if (ax == bx == point[0]) or (ay == by == point[1]):
                result.pop()
        result.append(point)
    return tuple(result)
