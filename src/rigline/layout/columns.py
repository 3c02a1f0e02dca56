"""Where every column stands from left to right.

Each limb becomes a shape: how far it reaches to both sides of its line, level by level. Shapes are packed side by side
with no more room than their measured texts need; a sub-bus may slide under the loads beside it. Level 0 is above the
root buses, level 1 hangs from them, each sub-bus is one level deeper, and the last level holds the earths.
"""

from __future__ import annotations

import math
from itertools import pairwise

from msgspec import Struct, field

from rigline.layout.forest import Block, Limb, Node
from rigline.layout.stamps import Stamps
from rigline.layout.symbols import GRID_MM, Terminal

GAP_MM = 2.5
"""Free space between two columns at least. Our own choice: one grid step."""
ELBOW_MM = 5.0
"""From the side of a symbol to the column that turns into it. Our own choice."""
BAR_END_MM = 2.5
"""A bar goes on beyond its outermost tap. Our own choice: one grid step."""
NEAR_MM = 7.5
"""Taps on both sides of a bar that are no further from each other are brought in line. Our own choice."""
LABEL_ROW_MM = 50.0
"""A bus's label up to this width stands in one row even beyond its bar. Our own choice."""
LOOSE_ROWS = 5
"""Rows of stations without feeders on one sheet. Our own choice."""
LONE_BAR_MM = 10.0
"""Half the length of a bar with no more than one tap. Our own choice."""

Contour = dict[int, tuple[float, float]]


def up_to_grid(value: float) -> float:
    """The next multiple of the grid that is not smaller."""
    return math.ceil(value / GRID_MM - 1e-6) * GRID_MM


class Shape(Struct):
    """What a limb or node covers on each level, seen from its own line."""

    contour: Contour
    limb: Limb | None = None
    nodes: list[tuple[Node, float]] = field(default_factory=list)
    """Nodes placed by this shape, and their x seen from the line."""
    bars: list[tuple[Node, float, float]] = field(default_factory=list)
    inner: list[tuple[Shape, float]] = field(default_factory=list)
    level: int = 1
    """The level of the bar of this shape."""
    slide: tuple[float, float] | None = None
    """How far what hangs below may still move sideways; only for limbs that end on a sub-bus."""

    def cover(self, level: int, low: float, high: float) -> None:
        """Take in an interval of a level."""
        old = self.contour.get(level)
        if old is not None:
            low, high = low if low < old[0] else old[0], high if high > old[1] else old[1]
        self.contour[level] = (low, high)

    def put(self, other: Shape, dx: float) -> None:
        """Take in another shape, moved."""
        self.inner.append((other, dx))
        for level, (low, high) in other.contour.items():
            self.cover(level, low + dx, high + dx)


class Places(Struct):
    """The x of all lines, symbols and bars."""

    axis: dict[Limb, float] = field(default_factory=dict)
    x: dict[Node, float] = field(default_factory=dict)
    bar: dict[Node, tuple[float, float]] = field(default_factory=dict)
    span: dict[Node, tuple[float, float]] = field(default_factory=dict)
    """How far a bar's label may reach."""
    low: float = 0.0
    high: float = 0.0

    def realize(self, shape: Shape, x: float) -> None:
        """Fix a shape and all within it."""
        stack = [(shape, x)]
        while stack:
            current, here = stack.pop()
            if current.limb is not None:
                self.axis[current.limb] = here
            for node, dx in current.nodes:
                self.x[node] = here + dx
            for node, low, high in current.bars:
                self.bar[node] = (here + low, here + high)
                left, right = current.contour[current.level]
                self.span[node] = (here + left, here + right)
            stack.extend((inner, here + dx) for inner, dx in current.inner)


class Arrangement(Struct):
    """The shapes of blocks side by side, each with its x; enough to tell whether they fit a width."""

    shapes: list[tuple[Shape, float]] = field(default_factory=list)
    low: float = 0.0
    high: float = 0.0

    @property
    def width(self) -> float:
        """Width of everything."""
        return self.high - self.low

    def places(self) -> Places:
        """The x of everything."""
        places = Places(low=self.low, high=self.high)
        for shape, at in self.shapes:
            places.realize(shape, at)
        return places


class Columns(Struct):
    """Builds shapes for one sheet in one style."""

    stamps: Stamps
    floor: int
    """The number of the level of the earths."""
    air: float = 0.0
    """Extra space between columns, to use the width of the sheet."""
    even: bool = True
    """All loads of one bus at one pitch."""
    above: set[str] = field(default_factory=set)
    """What stands above the bus of the block in hand."""

    def block(self, block: Block) -> Shape:
        """A whole block, seen from its bar's left end or its symbol's centre."""
        if block.loose:
            return self._loose(block.loose)
        self.above = {node.station.id for node in block.nodes() if node.zone == "up"}
        return self.bar(block.root, 1) if block.root.is_bar else self.node(block.root, 1)

    def _loose(self, nodes: tuple[Node, ...]) -> Shape:
        """Stations without feeders, row by row, at one pitch."""
        shape = Shape({})
        stamps = [self.stamps.node(node) for node in nodes]
        left = up_to_grid(max(stamp.left for stamp in stamps))
        pitch = up_to_grid(left + max(stamp.right for stamp in stamps) + 2 * GAP_MM + self.air)
        for number, node in enumerate(nodes):
            level, place = loose_seat(number, len(nodes))
            shape.nodes.append((node, place * pitch))
            shape.cover(level, place * pitch - left, place * pitch + stamps[number].right)
        return shape

    # -- chains ---------------------------------------------------------------------------------------------------

    def limb(self, limb: Limb, level: int) -> Shape:
        """A column with all that stands at its tip."""
        shape = Shape({}, limb)
        left, right = self.stamps.chain_reach(limb)
        levels = range(level, self.floor + 1) if limb.depth == "floor" else range(level, level + 1)
        if self.stamps.is_free(limb) and not limb.pendant:
            levels = range(level, max(level + 1, self.floor))
        for number in levels:
            shape.cover(number, -left, right)
        if limb.base is not None and limb.base.reference is None and limb.base.station in self.above:
            # Its wire comes straight down from there, so nothing above the bus may stand in its way.
            shape.cover(0, -GAP_MM / 2, GAP_MM / 2)
        if limb.tip is not None:
            self._tip(shape, limb, limb.tip, levels[-1])
            if self.stamps.is_free(limb):
                low, high = shape.contour[levels[-1]]
                for number in levels:
                    shape.cover(number, low, high)
            for hung in [hung for hung in limb.tip.down if hung.pendant]:
                column = self.limb(hung, 0)
                shape.put(column, self._outside(shape, column, 1))
        return shape

    def _tip(self, shape: Shape, limb: Limb, tip: Node, level: int) -> None:
        if tip.is_bar:
            bar = self.bar(tip, level + 1 if limb.depth == "band" else level)
            low, high = bar.bars[0][1:]
            middle = round((low + high) / 2 / GRID_MM) * GRID_MM
            shape.slide = (middle - high + BAR_END_MM, middle - low - BAR_END_MM)
            shape.put(bar, -middle)
            return
        inward = self.stamps.inward(tip)
        base = self.stamps.terminal(tip, limb.tip_port, inward)
        node = self.node(tip, level)
        shape.put(node, -self._reach_in(tip, base, inward))

    def _reach_in(self, node: Node, base: Terminal | None, inward: str) -> float:
        """Where the line of a limb arrives, seen from the symbol's centre."""
        if base is None:
            return 0.0
        if base.side in (inward, "N", "S"):
            return base.x_mm
        half = up_to_grid(self.stamps.box(node).width_mm / 2) + ELBOW_MM
        return -half if base.side == "W" else half

    # -- symbols --------------------------------------------------------------------------------------------------

    def node(self, node: Node, level: int) -> Shape:
        """A symbol with what stands on its outer side, seen from the symbol's centre."""
        shape = Shape({}, nodes=[(node, 0.0)])
        stamp = self.stamps.node(node)
        shape.cover(level, -stamp.left, stamp.right)
        if node.zone == "root":
            self._branch(shape, node, node.up, "N", 0)
            self._branch(shape, node, node.down, "S", level)
        elif node.zone == "up":
            self._branch(shape, node, node.up, "N", 0)
        else:
            self._branch(shape, node, node.down, "S", level)
        return shape

    def _branch(self, shape: Shape, node: Node, limbs: list[Limb], outward: str, level: int) -> None:
        """Columns at one side of a symbol: a single one goes straight on, several fan out."""
        beside = [limb for limb in limbs if limb.base is not None]
        fan = sorted((limb for limb in limbs if limb.base is None), key=lambda limb: self._exit(node, limb, outward))
        exits = [self._exit(node, limb, outward) for limb in fan]
        shapes = [self.limb(limb, level) for limb in fan]
        if len(fan) == 1:
            shape.put(shapes[0], exits[0])
        elif fan:
            offsets = self.pack(shapes)
            shift = self._middle(exits, offsets)
            for inner, offset in zip(shapes, offsets, strict=True):
                shape.put(inner, offset - shift)
        for limb in beside:
            column = self.limb(limb, level)
            shape.put(column, self._outside(shape, column, self.stamps.facing(limb)))

    def _exit(self, node: Node, limb: Limb, outward: str) -> float:
        return self._reach_in(node, self.stamps.terminal(node, limb.base_port, outward), outward)

    def _middle(self, exits: list[float], offsets: list[float]) -> float:
        """Where the symbol's centre stands under its fan."""
        groups = sorted(set(exits))
        if len(groups) == 1:
            return round((offsets[0] + offsets[-1]) / 2 / GRID_MM) * GRID_MM - groups[0]
        half = len(groups) // 2
        left = max(o for o, e in zip(offsets, exits, strict=True) if e in groups[:half])
        right = min(o for o, e in zip(offsets, exits, strict=True) if e in groups[half:])
        return round((left + right) / 2 / GRID_MM) * GRID_MM

    def _outside(self, shape: Shape, column: Shape, facing: int) -> float:
        """The place for a column beside everything that a shape covers."""
        gaps = [0.0]
        for level, (low, high) in column.contour.items():
            if level in shape.contour:
                have = shape.contour[level]
                gaps.append(have[0] - GAP_MM - high if facing < 0 else have[1] + GAP_MM - low)
        return -up_to_grid(-min(gaps)) if facing < 0 else up_to_grid(max(gaps))

    # -- bars -----------------------------------------------------------------------------------------------------

    def bar(self, bar: Node, level: int) -> Shape:
        """A bar with all that stands on it and hangs from it, seen from its left end."""
        downs = self.stamps.downs(bar)
        attached = [limb for limb in downs if limb.base is None]
        below = self._side([self.limb(limb, level) for limb in attached])
        above = self._side([self.limb(limb, 0) for limb in self.stamps.ups(bar)]) if bar.zone == "root" else Shape({})
        shape = Shape({}, level=level)
        self._stack(shape, above, below)
        axes = [dx + shift for part, shift in shape.inner for _, dx in part.inner]
        low, high = (min(axes) - BAR_END_MM, max(axes) + BAR_END_MM) if axes else (-LONE_BAR_MM, LONE_BAR_MM)
        if len(axes) == 1:
            low, high = low - GRID_MM, high + GRID_MM
        shape.bars.append((bar, low, high))
        self._label_room(shape, bar, level, low, high)
        for limb in downs:
            if limb.base is not None:
                column = self.limb(limb, level)
                shape.put(column, self._outside(shape, column, self.stamps.facing(limb)))
        return shape

    def _side(self, shapes: list[Shape]) -> Shape:
        """Columns of one side of a bar, the first one's line at 0."""
        if self.even:
            self._level_out(shapes)
        packed = Shape({})
        for inner, offset in zip(shapes, self.pack(shapes), strict=True):
            packed.put(inner, offset)
        return packed

    def _level_out(self, shapes: list[Shape]) -> None:
        """Give the plain columns of one bus the same width, so that they stand at one pitch."""
        plain = [s for s in shapes if len(s.contour) == 1 and s.limb and not s.limb.slot and s.limb.joint is None]
        if len(plain) < 2:
            return
        left = max(-low for s in plain for low, _ in s.contour.values())
        right = max(high for s in plain for _, high in s.contour.values())
        for shape in plain:
            for level in list(shape.contour):
                shape.cover(level, -left, right)

    def _stack(self, shape: Shape, above: Shape, below: Shape) -> None:
        """What stands above a bar spread over what hangs below it, or the other way round."""
        for part, other in ((above, below), (below, above)):
            if part.inner:
                have = part.inner[-1][1]
                want = other.inner[-1][1] if other.inner else 0.0
                self._spread(part, have, min(want, have * 1.8 + 40.0), [dx for _, dx in other.inner])
                shape.put(part, 0.0)

    def _spread(self, part: Shape, have: float, want: float, opposite: list[float]) -> None:
        """Move columns apart so that they use the length of the bar, and in line with those on its other side."""
        steps = len(part.inner) - 1
        if want <= have or steps < 1:
            return
        extra = math.floor((want - have) / steps / GRID_MM) * GRID_MM
        inner = [(shape, dx + number * extra) for number, (shape, dx) in enumerate(part.inner)]
        slack = min(extra / 2, NEAR_MM)
        inner = [inner[0], *((shape, self._in_line(dx, opposite, slack)) for shape, dx in inner[1:])]
        part.inner, part.contour = [], {}
        for column, dx in inner:
            part.put(column, dx)

    @staticmethod
    def _in_line(dx: float, opposite: list[float], slack: float) -> float:
        """The place of a near column on the other side of the bar, or else the own one."""
        near = min(opposite, key=lambda other: abs(other - dx), default=dx)
        return near if abs(near - dx) <= slack else dx

    def _label_room(self, shape: Shape, bar: Node, level: int, low: float, high: float) -> None:
        """Widen what a bar covers so that its label fits beside any feeder from above."""
        row = self.stamps.bar_label_row(bar)
        need = (row if row <= LABEL_ROW_MM else self.stamps.bar_label_width(bar)) + 3.0
        shape.cover(level, low, high)
        left, right = shape.contour[level]
        if bar.zone == "root":
            axes = sorted(dx + shift for part, shift in shape.inner for s, dx in part.inner if 0 in s.contour)
            edges = [left, *axes, right]
            widest = max(b - a for a, b in pairwise(edges))
            need = need if need <= widest else self.stamps.bar_label_width(bar) + 3.0
            start = axes[-1] if axes else left
            if need > widest:
                shape.cover(level, left, max(right, start + need))
            if need > widest or not axes:
                # Nothing of a neighbour may come down into the label either.
                shape.cover(0, left, start + need)
            return
        worst = min(max(high - BAR_END_MM, (left + right) / 2), high)
        shape.cover(level, left, max(right, worst + need))

    # -- packing --------------------------------------------------------------------------------------------------

    def pack(self, shapes: list[Shape]) -> list[float]:
        """Side by side without overlap on any level; the first one's line is at 0."""
        frontier: dict[int, float] = {}
        offsets: list[float] = []
        for number, shape in enumerate(shapes):
            self._slide(shape, frontier, number == len(shapes) - 1, offsets[-1] if offsets else None)
            place = 0.0
            if number:
                needs = [frontier[lv] - low for lv, (low, _) in shape.contour.items() if lv in frontier]
                needs.append(offsets[-1] + 2 * GRID_MM)
                place = up_to_grid(max(needs))
            offsets.append(place)
            for level, (_, high) in shape.contour.items():
                room = 0.0 if shape.limb is not None and shape.limb.slot else self.air
                frontier[level] = max(frontier.get(level, -1e9), place + high + GAP_MM + room)
        return offsets

    def _slide(self, shape: Shape, frontier: dict[int, float], last: bool, before: float | None) -> None:
        """Move a sub-bus sideways under its feeder so that it takes as little room as possible."""
        if shape.slide is None or before is None or shape.limb is None:
            return
        bar, dx = shape.inner[0]
        chain = min(level for level in shape.contour)
        axis = up_to_grid(max(frontier.get(chain, before) - shape.contour[chain][0], before + 2 * GRID_MM))
        wanted = [frontier[lv] - low - axis - dx for lv, (low, _) in bar.contour.items() if lv in frontier]
        low, high = shape.slide
        move = max(wanted, default=0.0 if last else low)
        if last:
            move = max(move, 0.0)
        move = up_to_grid(min(max(move, low), high))
        shape.inner[0] = (bar, dx + move)
        own = shape.contour[chain]
        shape.contour = {chain: own}
        for level, (lo, hi) in bar.contour.items():
            shape.cover(level, lo + dx + move, hi + dx + move)


def loose_seat(number: int, count: int) -> tuple[int, int]:
    """Level and place in the row of one of several stations without feeders."""
    per_row = max(3, math.ceil(count / LOOSE_ROWS))
    return number // per_row + 1, number % per_row


def depth(block: Block) -> int:
    """Number of levels of buses in a block."""
    if block.loose:
        return loose_seat(len(block.loose) - 1, len(block.loose))[0]
    deepest, stack = 1, [(block.root, 1)]
    while stack:
        node, level = stack.pop()
        deepest = max(deepest, level)
        stack.extend((limb.tip, level + limb.tip.is_bar) for limb in node.limbs() if limb.tip is not None)
    return deepest
