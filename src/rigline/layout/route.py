"""Finds the way for wires that close a ring, on the grid between everything that already stands on the sheet.

A way has as few corners as will do up to three, then costs its length, more for every corner and much more for every
crossing; it never passes through a symbol, a text, a bar or along another wire. The search goes from both ends at once
and from corner to corner, every straight stretch in one sweep: much faster than from grid point to grid point.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from itertools import pairwise

from msgspec import Struct, field

from rigline.layout.plan import Point
from rigline.layout.sheet import Box
from rigline.layout.symbols import GRID_MM

BEND_COST = 6
"""A corner costs as much as this many grid steps. Our own choice."""
CROSSING_COST = 40
"""A crossing costs as much as this many grid steps: a long way round is easier to read. Our own choice."""
DETOUR_FRAC = 0.3
"""A way that is no more than this longer than needed, and crosses nothing, is good enough. Our own choice."""
FEW_BENDS = 3
"""A way with no more corners is taken without looking further. Our own choice: what an eye follows easily."""
NO_WAY = 1 << 30
MOST_BENDS = 7
"""The search gives up after this many corners. Our own choice."""

FREE, ALONG_X, ALONG_Y, BLOCKED, UPRIGHT = 0, 1, 2, 3, 4
"""What a grid point is: free, on a wire along x or y, taken, or free for wires along y that do not turn here."""
ARRIVES = {"N": "S", "S": "N", "W": "E", "E": "W"}
"""In which direction a wire runs that reaches a terminal on this side."""
Spot = tuple[int, bool]
"""A grid point, and whether the wire arrives there along x."""


class Grid:
    """Which grid points of an area are taken, and by what; a rim of taken points runs all round."""

    def __init__(self, area: Box) -> None:
        self.x0 = math.ceil(area.x0_mm / GRID_MM) - 1
        self.y0 = math.ceil(area.y0_mm / GRID_MM) - 1
        self.columns = math.floor(area.x1_mm / GRID_MM) - self.x0 + 2
        self.rows = math.floor(area.y1_mm / GRID_MM) - self.y0 + 2
        inner = bytes([BLOCKED, *[FREE] * (self.columns - 2), BLOCKED])
        rim = bytes([BLOCKED]) * self.columns
        self.state = bytearray(rim + inner * (self.rows - 2) + rim)

    def index(self, point: Point) -> int | None:
        """The number of a grid point, None outside the area."""
        column, row = round(point[0] / GRID_MM) - self.x0, round(point[1] / GRID_MM) - self.y0
        inside = 0 < column < self.columns - 1 and 0 < row < self.rows - 1
        return row * self.columns + column if inside else None

    def point(self, index: int) -> Point:
        """The place of a grid point."""
        row, column = divmod(index, self.columns)
        return ((column + self.x0) * GRID_MM, (row + self.y0) * GRID_MM)

    def block(self, x0: float, y0: float, x1: float, y1: float, margin: float, state: int = BLOCKED) -> None:
        """Nothing may pass within a margin of a rectangle."""
        left = max(1, math.ceil((x0 - margin) / GRID_MM - 1e-6) - self.x0)
        right = min(self.columns - 2, math.floor((x1 + margin) / GRID_MM + 1e-6) - self.x0)
        top = max(1, math.ceil((y0 - margin) / GRID_MM - 1e-6) - self.y0)
        bottom = min(self.rows - 2, math.floor((y1 + margin) / GRID_MM + 1e-6) - self.y0)
        if right < left:
            return
        taken = bytes([state]) * (right - left + 1)
        for row in range(top, bottom + 1):
            start = row * self.columns
            self.state[start + left : start + right + 1] = taken

    def lay(self, points: Sequence[Point]) -> None:
        """A wire: it may be crossed at right angles, but not at its corners and ends."""
        for a, b in pairwise(points):
            mark = ALONG_X if a[1] == b[1] else ALONG_Y
            for index in self._between(a, b):
                self.state[index] = mark if self.state[index] in (FREE, UPRIGHT, mark) else BLOCKED
        for point in points:
            corner = self.index(point)
            if corner is not None:
                self.state[corner] = BLOCKED

    def _between(self, a: Point, b: Point) -> Iterable[int]:
        first, last = self.index(a), self.index(b)
        if first is not None and last is not None:
            step = (1 if a[1] == b[1] else self.columns) * (1 if last >= first else -1)
            return range(first, last + step, step)
        count = round(max(abs(a[0] - b[0]), abs(a[1] - b[1])) / GRID_MM)
        parts = [number / count if count else 0.0 for number in range(count + 1)]
        found = [self.index((a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)) for part in parts]
        return [index for index in found if index is not None]

    def route(
        self, start: Point, heading: str, targets: Sequence[tuple[Point, str]], turning: bool = True
    ) -> list[Point] | None:
        """The best way from a point to any of the targets, each given with the side from which it is reached.

        Args:
            start: Where the wire goes on.
            heading: In which direction: N, E, S or W.
            targets: Points and the sides from which they are reached.
            turning: The first corner may be at the start.
        """
        begin = self.index(start)
        goals: dict[int, str] = {}
        for target, side in targets:
            index = self.index(target)
            if index is not None:
                goals.setdefault(index, ARRIVES[side])
        if begin is None or not goals:
            return None
        return _Search(self, begin, goals).way(heading, turning)


class _Side(Struct):
    """What is reached from one end of the way, with the least cost, along y and along x."""

    best: tuple[dict[int, int], dict[int, int]] = field(default_factory=lambda: ({}, {}))
    came: dict[Spot, int] = field(default_factory=dict)
    """The corner before."""
    front: list[tuple[int, int, bool]] = field(default_factory=list)
    """Cost, grid point and orientation of what was reached with the last corner."""

    def corners(self, spot: Spot) -> list[int]:
        """A spot and the corners from there back to this side's end."""
        found = [spot[0]]
        while spot in self.came:
            spot = (self.came[spot], not spot[1])
            found.append(spot[0])
        return found


class _Search:
    """One search from both ends at once: where the two sides meet at right angles is a corner of the way."""

    def __init__(self, grid: Grid, begin: int, goals: dict[int, str]) -> None:
        self.grid, self.begin = grid, begin
        self.steps = {"E": 1, "W": -1, "S": grid.columns, "N": -grid.columns}
        self.goals = {goal: self.steps[way] for goal, way in goals.items()}
        self.near, self.far = _Side(), _Side()
        self.cost = NO_WAY
        self.corners: list[int] = []

    def way(self, heading: str, turning: bool) -> list[Point] | None:
        """The corners of the best way that leaves in a direction."""
        for way in (heading, *(("EW" if heading in "NS" else "NS") if turning else "")):
            self._sweep(self.near, self.far, self.begin, self.steps[way], 0 if way == heading else BEND_COST)
        for goal, step in self.goals.items():
            self._sweep(self.far, self.near, goal, -step, 0)
        straight = self._ahead(self.begin, self._box(self.goals))
        good = straight + min(DETOUR_FRAC * straight, CROSSING_COST - 1)
        for bends in range(2, MOST_BENDS + 1):
            if self.cost <= good + (bends - 1) * BEND_COST:
                break
            if self.corners and (bends > FEW_BENDS + 1 or (bends > FEW_BENDS and self.cost < CROSSING_COST)):
                break
            self._turn(*((self.far, self.near) if bends % 2 else (self.near, self.far)))
        return [self.grid.point(corner) for corner in self.corners] if self.corners else None

    def _turn(self, side: _Side, other: _Side) -> None:
        """One corner more on one side."""
        front, side.front = sorted(side.front), []
        up, box = self.grid.columns, self._box(self.goals if side is self.near else (self.begin,))
        for cost, here, along_x in front:
            if side.best[along_x][here] == cost and cost + BEND_COST + self._ahead(here, box) < self.cost:
                for step in (up, -up) if along_x else (1, -1):
                    self._sweep(side, other, here, step, cost + BEND_COST)

    def _box(self, ends: Collection[int]) -> tuple[int, int, int, int]:
        """Rows and columns between which all ends lie."""
        rows, columns = zip(*(divmod(end, self.grid.columns) for end in ends), strict=True)
        return min(rows), max(rows), min(columns), max(columns)

    def _ahead(self, here: int, box: tuple[int, int, int, int]) -> int:
        """The way that is left at least."""
        row, column = divmod(here, self.grid.columns)
        top, bottom, left, right = box
        return max(top - row, row - bottom, 0) + max(left - column, column - right, 0)

    def _sweep(self, side: _Side, other: _Side, start: int, step: int, cost: int) -> None:
        """Straight on until something stands in the way or was reached before for less."""
        state, along_x, here = self.grid.state, abs(step) == 1, start
        passable = ALONG_Y if along_x else ALONG_X
        best, meet, came, front = side.best[along_x], other.best[not along_x], side.came, side.front
        while True:
            here += step
            cost += 1
            if here in self.goals:
                if side is self.near and self.goals[here] == step:
                    self._found(cost, [here, *side.corners((start, not along_x))][::-1])
                return
            if state[here] == passable:
                cost += CROSSING_COST
            elif state[here] == UPRIGHT and not along_x:
                continue
            elif state[here] != FREE or best.get(here, cost + 1) <= cost:
                return
            else:
                best[here] = cost
                came[(here, along_x)] = start
                front.append((cost, here, along_x))
                if here in meet:
                    self._meet((here, along_x), side, cost + meet[here] + BEND_COST)

    def _meet(self, spot: Spot, side: _Side, cost: int) -> None:
        """A way round a corner that both sides reach."""
        if cost >= self.cost:
            return
        turned = (spot[0], not spot[1])
        near, far = (spot, turned) if side is self.near else (turned, spot)
        self._found(cost, [*self.near.corners(near)[::-1], *self.far.corners(far)[1:]])

    def _found(self, cost: int, corners: list[int]) -> None:
        if cost < self.cost:
            self.cost, self.corners = cost, corners
