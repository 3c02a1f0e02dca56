"""Leads the open ends of a sheet to their targets: bonds to their earths, ties and converters to their terminals."""

from __future__ import annotations

import math

from msgspec.structs import replace

from rigline.layout.compose import Composer, OpenEnd, straightened
from rigline.layout.forest import Block, Limb, Node
from rigline.layout.plan import Dot, Point
from rigline.layout.route import UPRIGHT, Grid
from rigline.layout.sheet import Box
from rigline.layout.symbols import GRID_MM, SymbolBox, Terminal
from rigline.layout.text import text_box

SYMBOL_MARGIN_MM = 2.4
"""No foreign wire comes closer to a symbol. Our own choice: just less than one grid step."""
BESIDE_BAR_MM = 10.0
"""So near the end of a bar no wire runs along it, or it would look like a part of it. Our own choice."""
APART_MM = 5.0
"""No bond leaves a case nearer to the terminal of another wire. Our own choice: two grid steps."""
TEXT_MARGIN_MM = 1.0
"""No wire comes closer to a text. Our own choice."""


class Connector:
    """Finishes the wires of one sheet."""

    def __init__(self, composer: Composer, blocks: list[Block], area: Box) -> None:
        self.composer, self.drawn = composer, composer.drawn
        self.nodes = {node.station.id: node for block in blocks for node in block.nodes()}
        self.slots = [(node, limb) for block in blocks for node, limb in block.all_limbs() if limb.slot]
        self.used: set[Point] = set()
        self.area = area
        self.failed: list[Limb] = []
        self.text_boxes = [text_box(text) for text in self.drawn.all_texts()]

    def connect(self) -> list[Limb]:
        """All open ends; returns the limbs that found no way."""
        self._floor()
        self.grid = self._obstacles()
        ends = [end for end in self.drawn.open_ends if self._routed(end)]
        for end in sorted(ends, key=self._distance):
            joint = end.limb.base if end.at_base else end.limb.joint
            if joint is not None and joint.reference is None:
                self._lead(end)
        return self.failed

    def _routed(self, end: OpenEnd) -> bool:
        """It has to find its way; the others run along the tracks at the bottom."""
        heights = self.composer.heights
        if end.at_base:
            return not heights.hangs(end.limb)
        joint = end.limb.joint
        return end.limb.depth != "floor" or joint is None or joint.station not in heights.earth_ids

    # -- bonds at the bottom ----------------------------------------------------------------------------------------

    def _floor(self) -> None:
        """Bonds run along their earth's own track, each to the next one nearer to the earth or to its bar."""
        by_earth: dict[str, list[OpenEnd]] = {}
        for end in self.drawn.open_ends:
            joint = end.limb.base if end.at_base else end.limb.joint
            ours = not self._routed(end)
            if ours and joint is not None and joint.reference is None:
                by_earth.setdefault(joint.station, []).append(end)
        for earth_id, ends in by_earth.items():
            earth = self.nodes[earth_id]
            y = self.composer.heights.track_y.get(earth_id, ends[0].at[1]) + self.composer.dy
            low = high = self.composer.earth_axis(earth)
            if earth.is_earth_bar:
                low, high = self.composer.earth_bar_ends(earth)
            self.drawn.dots.extend(Dot(*end.at) for end in ends if low <= end.at[0] <= high and earth.is_earth_bar)
            self._join([end for end in ends if end.at[0] < low], low, y)
            self._join([end for end in ends if end.at[0] > high], high, y)

    def _join(self, ends: list[OpenEnd], x: float, y: float) -> None:
        nearest = x
        for end in sorted(ends, key=lambda end: abs(end.at[0] - x)):
            self._extend(end, [(nearest, y), (end.at[0], y)] if end.at_base else [(end.at[0], y), (nearest, y)])
            self.drawn.dots.append(Dot(nearest, y))
            nearest = end.at[0]

    def _extend(self, end: OpenEnd, points: list[Point]) -> None:
        wire = self.drawn.wires[end.segment]
        whole = [*points, *wire.points] if end.at_base else [*wire.points, *points]
        self.drawn.wires[end.segment] = replace(wire, points=straightened(whole))

    # -- obstacles --------------------------------------------------------------------------------------------------

    def _obstacles(self) -> Grid:
        grid = Grid(self.area)
        drawn = self.drawn
        for bar in drawn.bars:
            grid.block(bar.x0_mm, bar.y_mm, bar.x1_mm, bar.y_mm, BESIDE_BAR_MM, UPRIGHT)
        for wire in drawn.wires:
            grid.lay(wire.points)
        symbols = self.composer.stamps.symbols
        for symbol in drawn.symbols:
            box = symbols[symbol.kind]
            w, h = box.width_mm / 2, box.height_mm / 2
            grid.block(symbol.x_mm - w, symbol.y_mm - h, symbol.x_mm + w, symbol.y_mm + h, SYMBOL_MARGIN_MM)
        for bar in drawn.bars:
            grid.block(bar.x0_mm, bar.y_mm, bar.x1_mm, bar.y_mm, SYMBOL_MARGIN_MM)
        for box_of_text in self.text_boxes:
            grid.block(*box_of_text, TEXT_MARGIN_MM)
        for flag in drawn.flags:
            grid.block(flag.x_mm - 2.5, flag.y_mm - 2.5, flag.x_mm + 2.5, flag.y_mm + 2.5, TEXT_MARGIN_MM)
        self._open_slots(grid)
        return grid

    def _open_slots(self, grid: Grid) -> None:
        """Clear the grid points through which wires may reach a bar."""
        for node, slot in self.slots:
            x, y = self.composer.axis(slot), self.composer.bar_y(node)
            index = grid.index((x, y + (-GRID_MM if self.composer.upward(slot) else GRID_MM)))
            if index is not None:
                grid.state[index] = 0

    # -- targets ----------------------------------------------------------------------------------------------------

    def _distance(self, end: OpenEnd) -> float:
        """Short ways first."""
        target = self._targets(end)
        return min((abs(t[0] - end.at[0]) + abs(t[1] - end.at[1]) for t, _ in target), default=0.0)

    def _targets(self, end: OpenEnd) -> list[tuple[Point, str]]:
        joint = end.limb.base if end.at_base else end.limb.joint
        node = self.nodes.get(joint.station) if joint is not None else None
        if joint is None or node is None:
            return []
        if node.is_bar:
            return self._taps(node, end)
        x, y = self.composer.node_at(node)
        box = self.composer.stamps.box(node)
        named = box.terminals.get(joint.port)
        free = node.station.role == "storage" and end.at_base
        post = box.terminals.get(joint.port) if joint.port in ("+", "-") else None
        if post is not None:
            return self._at_post(post, box.height_mm / 2, x, y)
        if end.limb.feeder.kind != "bond" and joint.port != "case" and not free:
            side = "N" if node.zone != "up" else "S"
            terminal = self.composer.stamps.terminal(node, joint.port, "W" if named is None else side)
            terminal = named or terminal
            if terminal is not None:
                return [((x + terminal.x_mm, y + terminal.y_mm), terminal.side)]
        places = self._outline(node, x, y)
        if free:
            # Both poles in one line: not at the ends of the case, where each pole has its post.
            places = [place for place in places if abs(place[0][0] - x) <= GRID_MM and place[1] in "NS"] or places
        return places

    def _at_post(self, post: Terminal, half: float, x: float, y: float) -> list[tuple[Point, str]]:
        """The post of one pole, and the edges of the case beside it."""
        inside = post.x_mm - math.copysign(GRID_MM, post.x_mm)
        places = [((post.x_mm, post.y_mm), post.side), ((inside, half), "S"), ((inside, -half), "N")]
        return [((x + p[0], y + p[1]), side) for p, side in places if (x + p[0], y + p[1]) not in self.used]

    def _outline(self, node: Node, x: float, y: float) -> list[tuple[Point, str]]:
        """Free places on the outline of a case, where a bond may be fastened."""
        box = self.composer.stamps.box(node)
        w, h = box.width_mm / 2, box.height_mm / 2
        taken = {(t.x_mm, t.y_mm) for t in box.terminals.values() if t.side != "E"}
        places: list[tuple[Point, str]] = []
        steps = int(h // GRID_MM)
        for step in range(-steps, steps + 1):
            if abs(step * GRID_MM) < h:
                places += [((-w, step * GRID_MM), "W"), ((w, step * GRID_MM), "E")]
        steps = int(w // GRID_MM)
        for step in range(-steps, steps + 1):
            if abs(step * GRID_MM) < w:
                places += [((step * GRID_MM, h), "S"), ((step * GRID_MM, -h), "N")]
        fitting = [(place, side) for place, side in places if place not in taken and not _crowded(box, place, side)]
        on_grid = [(p, s) for p, s in fitting if p[0] % GRID_MM == 0 and p[1] % GRID_MM == 0]
        return [((x + p[0], y + p[1]), s) for p, s in on_grid if (x + p[0], y + p[1]) not in self.used]

    def _taps(self, bar: Node, end: OpenEnd) -> list[tuple[Point, str]]:
        """The slot that was kept free for this wire at a bar."""
        y = self.composer.bar_y(bar)
        mine = [slot for node, slot in self.slots if node is bar and slot.feeder is end.limb.feeder]
        return [((self.composer.axis(s), y), "N" if self.composer.upward(s) else "S") for s in mine]

    # -- leading ----------------------------------------------------------------------------------------------------

    def _lead(self, end: OpenEnd) -> None:
        targets = self._targets(end)
        opened = self._approaches(targets)
        start = self.grid.index(end.at)
        before = self.grid.state[start] if start is not None else 0
        way = self.grid.route(end.at, end.heading, targets, turning=not end.at_base)
        self._close(opened)
        if way is None:
            if start is not None:
                self.grid.state[start] = before
            self.failed.append(end.limb)
            return
        self.used.add(way[-1])
        self._extend(end, way[::-1] if end.at_base else way)
        self.grid.lay(self.drawn.wires[end.segment].points)
        joint = end.limb.base if end.at_base else end.limb.joint
        if joint is not None and self.nodes[joint.station].is_bar:
            self.drawn.dots.append(Dot(*way[-1]))

    def _approaches(self, targets: list[tuple[Point, str]]) -> list[tuple[int, int]]:
        """Open the grid points in front of the targets, which lie within the symbol's margin."""
        opened = []
        for (x, y), side in targets:
            dx, dy = {"N": (0, -1), "S": (0, 1), "E": (1, 0), "W": (-1, 0)}[side]
            index = self.grid.index((x + dx * GRID_MM, y + dy * GRID_MM))
            if index is not None and self.grid.state[index] == 3 and not self._texted(self.grid.point(index)):
                opened.append((index, self.grid.state[index]))
                self.grid.state[index] = 0
        return opened

    def _texted(self, point: Point) -> bool:
        """A text stands here, so that no wire may come."""
        for x0, y0, x1, y1 in self.text_boxes:
            if x0 - 1 < point[0] < x1 + 1 and y0 - 1 < point[1] < y1 + 1:
                return True
        return any(point in wire.points for wire in self.drawn.wires)

    def _close(self, opened: list[tuple[int, int]]) -> None:
        for index, state in opened:
            if self.grid.state[index] == 0:
                self.grid.state[index] = state


def _crowded(box: SymbolBox, place: Point, side: str) -> bool:
    """So near a terminal on the same side that the two wires would run close beside each other."""
    near = [terminal for terminal in box.terminals.values() if terminal.side == side]
    return any(abs(t.x_mm - place[0]) + abs(t.y_mm - place[1]) < APART_MM for t in near)
