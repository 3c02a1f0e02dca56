"""Finds the way for wires that close a ring, on the grid between everything that already stands on the sheet.

A way costs its length, more for every corner and much more for every crossing; it never passes through a symbol, a
text, a bar or along another wire. What finds no way is drawn as a pair of references instead.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from rigline.layout.plan import Point
from rigline.layout.sheet import Box
from rigline.layout.symbols import GRID_MM

BEND_COST = 6
"""A corner costs as much as this many grid steps. Our own choice."""
CROSSING_COST = 40
"""A crossing costs as much as this many grid steps: a long way round is easier to read. Our own choice."""
MAX_VISITS = 12_000
"""The search gives up after this many steps. Our own choice: half the grid points and directions of an A3 sheet."""

FREE, ALONG_X, ALONG_Y, BLOCKED = 0, 1, 2, 3
STEPS = {"E": (1, 0), "W": (-1, 0), "S": (0, 1), "N": (0, -1)}


class Grid:
    """Which grid points of an area are taken, and by what."""

    def __init__(self, area: Box) -> None:
        self.x0 = math.ceil(area.x0_mm / GRID_MM)
        self.y0 = math.ceil(area.y0_mm / GRID_MM)
        self.columns = math.floor(area.x1_mm / GRID_MM) - self.x0 + 1
        self.rows = math.floor(area.y1_mm / GRID_MM) - self.y0 + 1
        self.state = bytearray(max(0, self.columns * self.rows))

    def index(self, point: Point) -> int | None:
        """The number of a grid point, None outside the area."""
        column, row = round(point[0] / GRID_MM) - self.x0, round(point[1] / GRID_MM) - self.y0
        inside = 0 <= column < self.columns and 0 <= row < self.rows
        return row * self.columns + column if inside else None

    def point(self, index: int) -> Point:
        """The place of a grid point."""
        row, column = divmod(index, self.columns)
        return ((column + self.x0) * GRID_MM, (row + self.y0) * GRID_MM)

    def block(self, x0: float, y0: float, x1: float, y1: float, margin: float) -> None:
        """Nothing may pass within a margin of a rectangle."""
        left = max(0, math.ceil((x0 - margin) / GRID_MM - 1e-6) - self.x0)
        right = min(self.columns - 1, math.floor((x1 + margin) / GRID_MM + 1e-6) - self.x0)
        top = max(0, math.ceil((y0 - margin) / GRID_MM - 1e-6) - self.y0)
        bottom = min(self.rows - 1, math.floor((y1 + margin) / GRID_MM + 1e-6) - self.y0)
        if right < left:
            return
        for row in range(top, bottom + 1):
            start = row * self.columns
            self.state[start + left : start + right + 1] = bytes([BLOCKED]) * (right - left + 1)

    def lay(self, points: Sequence[Point]) -> None:
        """A wire: it may be crossed at right angles, but not at its corners and ends."""
        for a, b in pairwise(points):
            mark = ALONG_X if a[1] == b[1] else ALONG_Y
            for index in self._between(a, b):
                self.state[index] = mark if self.state[index] in (FREE, mark) else BLOCKED
        for point in points:
            corner = self.index(point)
            if corner is not None:
                self.state[corner] = BLOCKED

    def _between(self, a: Point, b: Point) -> Iterable[int]:
        count = round(max(abs(a[0] - b[0]), abs(a[1] - b[1])) / GRID_MM)
        for step in range(count + 1):
            part = step / count if count else 0.0
            index = self.index((a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part))
            if index is not None:
                yield index

    def route(self, start: Point, heading: str, targets: Sequence[tuple[Point, str]]) -> list[Point] | None:
        """The best way from a point to any of the targets, each given with the side from which it is reached."""
        begin = self.index(start)
        goals: dict[int, str] = {}
        for target, side in targets:
            index = self.index(target)
            if index is not None:
                goals.setdefault(index, side)
        if begin is None or not goals:
            return None
        return self._search(begin, heading, goals)

    def _search(self, begin: int, heading: str, goals: dict[int, str]) -> list[Point] | None:
        columns, state = self.columns, self.state
        rows_of, columns_of = [goal // columns for goal in goals], [goal % columns for goal in goals]
        top, bottom, left, right = min(rows_of), max(rows_of), min(columns_of), max(columns_of)
        arrive = {goal: {"N": "S", "S": "N", "W": "E", "E": "W"}[side] for goal, side in goals.items()}
        best: dict[tuple[int, str], int] = {(begin, heading): 0}
        came: dict[tuple[int, str], tuple[int, str]] = {}
        queue = [(0, 0, begin, heading)]
        visits = 0
        while queue and visits < MAX_VISITS:
            _, cost, here, facing = heapq.heappop(queue)
            if cost > best.get((here, facing), cost):
                continue
            if here in goals and facing == arrive[here]:
                return self._trace((here, facing), came)
            visits += 1
            for way, extra in self._turns(here, begin, facing):
                there = self._step(here, way)
                if there is None or not self._passable(there, way, goals, arrive):
                    continue
                crossing = state[there] in (ALONG_X, ALONG_Y) and there not in goals
                new = cost + 1 + extra + (CROSSING_COST if crossing else 0)
                if new < best.get((there, way), 1 << 30):
                    best[(there, way)] = new
                    came[(there, way)] = (here, facing)
                    row, column = divmod(there, columns)
                    ahead = max(top - row, row - bottom, 0) + max(left - column, column - right, 0)
                    heapq.heappush(queue, (new + ahead, new, there, way))
        return None

    def _turns(self, here: int, begin: int, facing: str) -> Iterable[tuple[str, int]]:
        """Straight on, or a corner where no wire is being crossed."""
        yield facing, 0
        if here == begin or self.state[here] == FREE:
            for way in "EW" if facing in "NS" else "NS":
                yield way, BEND_COST

    def _step(self, here: int, way: str) -> int | None:
        row, column = divmod(here, self.columns)
        dx, dy = STEPS[way]
        inside = 0 <= column + dx < self.columns and 0 <= row + dy < self.rows
        return here + dy * self.columns + dx if inside else None

    def _passable(self, there: int, way: str, goals: dict[int, str], arrive: dict[int, str]) -> bool:
        if there in goals:
            return way == arrive[there]
        state = self.state[there]
        return state == FREE or (state == ALONG_X and way in "NS") or (state == ALONG_Y and way in "EW")

    def _trace(self, end: tuple[int, str], came: dict[tuple[int, str], tuple[int, str]]) -> list[Point]:
        """The corners of the way that was found."""
        states = [end]
        while states[-1] in came:
            states.append(came[states[-1]])
        states.reverse()
        points = [self.point(states[0][0])]
        points += [self.point(here) for (here, before), (_, after) in pairwise(states[1:]) if before != after]
        points.append(self.point(states[-1][0]))
        return points
