"""Finds the way for wires that close a ring, on the grid between everything that already stands on the sheet.

A way has as few corners as will do up to three, then costs its length, more for every corner and much more for every
crossing; it never passes through a symbol, a text, a bar or along another wire. The search goes from corner to corner:
every straight stretch is swept at once, which is much faster than going from grid point to grid point.
"""

from __future__ import annotations

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
FEW_BENDS = 3
"""A way with no more corners is taken without looking further. Our own choice: what an eye follows easily."""
MOST_BENDS = 7
"""The search gives up after this many corners. Our own choice."""

FREE, ALONG_X, ALONG_Y, BLOCKED = 0, 1, 2, 3
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

    def block(self, x0: float, y0: float, x1: float, y1: float, margin: float) -> None:
        """Nothing may pass within a margin of a rectangle."""
        left = max(0, math.ceil((x0 - margin) / GRID_MM - 1e-6) - self.x0)
        right = min(self.columns - 1, math.floor((x1 + margin) / GRID_MM + 1e-6) - self.x0)
        top = max(0, math.ceil((y0 - margin) / GRID_MM - 1e-6) - self.y0)
        bottom = min(self.rows - 1, math.floor((y1 + margin) / GRID_MM + 1e-6) - self.y0)
        if right < left:
            return
        taken = bytes([BLOCKED]) * (right - left + 1)
        for row in range(top, bottom + 1):
            start = row * self.columns
            self.state[start + left : start + right + 1] = taken

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
        first, last = self.index(a), self.index(b)
        if first is not None and last is not None:
            step = (1 if a[1] == b[1] else self.columns) * (1 if last >= first else -1)
            return range(first, last + step, step)
        count = round(max(abs(a[0] - b[0]), abs(a[1] - b[1])) / GRID_MM)
        parts = [number / count if count else 0.0 for number in range(count + 1)]
        found = [self.index((a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)) for part in parts]
        return [index for index in found if index is not None]

    def route(self, start: Point, heading: str, targets: Sequence[tuple[Point, str]]) -> list[Point] | None:
        """The best way from a point to any of the targets, each given with the side from which it is reached."""
        begin = self.index(start)
        goals: dict[int, str] = {}
        for target, side in targets:
            index = self.index(target)
            if index is not None:
                goals.setdefault(index, ARRIVES[side])
        if begin is None or not goals:
            return None
        return _Search(self, begin, goals).way(heading)


class _Search:
    """One search, corner by corner."""

    def __init__(self, grid: Grid, begin: int, goals: dict[int, str]) -> None:
        self.grid, self.begin = grid, begin
        self.steps = {"E": 1, "W": -1, "S": grid.columns, "N": -grid.columns}
        self.goals = {goal: self.steps[way] for goal, way in goals.items()}
        spots = [divmod(goal, grid.columns) for goal in goals]
        self.top, self.bottom = min(row for row, _ in spots), max(row for row, _ in spots)
        self.left, self.right = min(column for _, column in spots), max(column for _, column in spots)
        self.best: tuple[dict[int, int], dict[int, int]] = ({}, {})
        """The least cost of every grid point when reached along y, and along x."""
        self.came: dict[Spot, Spot] = {}
        self.found: tuple[int, Spot] | None = None

    def way(self, heading: str) -> list[Point] | None:
        """The corners of the best way that leaves in a direction."""
        along_x = heading in "EW"
        for way in {heading, *("EW" if not along_x else "NS")}:
            self.best[way in "EW"][self.begin] = 0
        first = [(0 if way == heading else BEND_COST, way) for way in (heading, *("NS" if along_x else "EW"))]
        front: list[tuple[int, int, bool]] = []
        for cost, way in first:
            front += self._sweep(self.begin, self.steps[way], cost)
        for bends in range(MOST_BENDS):
            if self.found is not None and bends >= FEW_BENDS:
                break
            front.sort()
            after: list[tuple[int, int, bool]] = []
            for cost, here, reached_x in front:
                if self.best[reached_x].get(here, cost) < cost or not self._promising(here, cost + BEND_COST):
                    continue
                for step in (self.steps["N"], self.steps["S"]) if reached_x else (1, -1):
                    after += self._sweep(here, step, cost + BEND_COST)
            front = after
        return self._traced() if self.found is not None else None

    def _promising(self, here: int, cost: int) -> bool:
        """What is found from here may still be better than what is found already."""
        if self.found is None:
            return True
        row, column = divmod(here, self.grid.columns)
        ahead = max(self.top - row, row - self.bottom, 0) + max(self.left - column, column - self.right, 0)
        return cost + ahead < self.found[0]

    def _sweep(self, here: int, step: int, cost: int) -> list[tuple[int, int, bool]]:
        """Straight on until something stands in the way; where corners are possible, with their cost."""
        state, along_x = self.grid.state, abs(step) == 1
        across = ALONG_Y if along_x else ALONG_X
        best, found, start = self.best[along_x], [], here
        while True:
            here += step
            cost += 1
            if here in self.goals:
                if self.goals[here] == step and (self.found is None or cost < self.found[0]):
                    self.found = (cost, (here, along_x))
                    self.came[(here, along_x)] = (start, not along_x)
                return found
            there = state[here]
            if there == across:
                cost += CROSSING_COST
            elif there != FREE:
                return found
            elif best.get(here, cost + 1) <= cost:
                return found
            else:
                best[here] = cost
                self.came[(here, along_x)] = (start, not along_x)
                found.append((cost, here, along_x))

    def _traced(self) -> list[Point]:
        """The corners from the beginning to the goal."""
        assert self.found is not None
        spot = self.found[1]
        points = [self.grid.point(spot[0])]
        while spot in self.came and spot[0] != self.begin:
            spot = self.came[spot]
            points.append(self.grid.point(spot[0]))
        return points[::-1]
