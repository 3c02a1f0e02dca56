"""From rows to millimetres: the heights of buses, rows, open ends and earths on one sheet."""

from __future__ import annotations

import math
from itertools import pairwise

from rigline.layout.columns import LABEL_ROW_MM, Places, up_to_grid
from rigline.layout.forest import Limb, Node
from rigline.layout.free import MOST_STRETCH_MM, least_height, seats
from rigline.layout.rows import BAR_CLEAR_MM, MARGIN_MM, TRACK_MM, Band, Rows
from rigline.layout.stamps import Stamps
from rigline.layout.symbols import GRID_MM

LABEL_CLEAR_MM = 2.0
"""Free space between a bus's label and its bar. Our own choice."""


class Heights:
    """All heights, for the top at 0; `shift` moves them to their place."""

    def __init__(self, rows: Rows, places: Places, stamps: Stamps) -> None:
        self.rows, self.places, self.stamps = rows, places, stamps
        self.label_form = {bar: self._form(bar) for level in rows.bars.values() for bar in level if bar.is_bar}
        self.floor_limbs = [limb for limb in rows.level_of if limb.depth == "floor"]
        self.earths = [limb.tip for limb in self.floor_limbs if limb.tip is not None]
        self.earth_ids = {earth.station.id for earth in self.earths}
        self.tracks = self._tracks()
        self.bar_y: dict[int, float] = {}
        self._starts()
        self.fix()

    # -- labels of bars ---------------------------------------------------------------------------------------------

    def _form(self, bar: Node) -> tuple[str, float]:
        """row or stack, and the x where the label starts, in a stretch that no feeder from above crosses."""
        low, high = self.places.span[bar]
        left_end, right_end = self.places.bar[bar]
        taps = [self.places.axis[limb] for limb in self.stamps.ups(bar)] if bar.zone == "root" else []
        taps += [self.places.axis[limb] for limb in self.rows.level_of if limb.tip is bar]
        edges = [low - 1.5, *sorted(taps), high]
        free = list(pairwise(edges))
        widths = {"row": self.stamps.bar_label_row(bar), "stack": self.stamps.bar_label_width(bar)}
        for form, inside in (("row", True), ("stack", True), ("stack", False)):
            width = widths[form]
            for start, end in free:
                left = max(start + 1.5, min(left_end, end - 1.5 - width))
                short = left + width <= max(right_end, left_end + LABEL_ROW_MM)
                if left + width + 1.5 <= end + 1e-6 and short and (left >= left_end or not inside):
                    return form, left
        for start, end in free:
            if widths["stack"] + 3.0 <= end - start + 1e-6:
                return "stack", start + 1.5
        start, end = max(free, key=lambda pair: pair[1] - pair[0])
        return "stack", start + 1.5

    def _strip(self, level: int) -> float:
        """Height above the bars of a level for their labels."""
        bars = [bar for bar in self.rows.bars.get(level, ()) if bar.is_bar]
        heights = [self.stamps.bar_label_height(bar) if self.label_form[bar][0] == "stack" else 5.0 for bar in bars]
        return max(heights) + LABEL_CLEAR_MM if heights else 0.0

    def _starts(self) -> None:
        """Where the first gap of each level begins, seen from its bars."""
        for level, band in self.rows.bands.items():
            band.start = BAR_CLEAR_MM
            hubs = [node for node in self.rows.bars.get(max(level, 1), ()) if not node.is_bar]
            for hub in hubs:
                stamp = self.stamps.node(hub)
                out = self.rows.fan_distance(hub, level == 0) + 0.5
                band.start = max(band.start, stamp.up if level == 0 else stamp.down, out)
        self.rows.bands[0].start = max(self.rows.bands[0].start, self._strip(1) + BAR_CLEAR_MM)

    # -- stretching -------------------------------------------------------------------------------------------------

    def stretch(self, available: float) -> None:
        """Spread left-over height over all gaps, in whole grid steps."""
        gaps = [gap for band in self.rows.bands.values() for gap in band.gaps if gap.tag > 0]
        for _ in range(int(MOST_STRETCH_MM / GRID_MM)):
            for gap in gaps:
                gap.extra += GRID_MM
                self.fix()
                if self.height > available:
                    gap.extra -= GRID_MM
                    self.fix()
                    return

    def fix(self) -> None:
        """Compute all heights from the gaps as they are now."""
        bands = self.rows.bands
        for band in bands.values():
            band.settle()
        self.top_channel = TRACK_MM * self._open_above()
        up = bands[0].height() if self._used(0) else bands[0].start
        y = up_to_grid(self.top_channel + up)
        level = 1
        while level in bands:
            self.bar_y[level] = y
            bottom = y + (bands[level].height() if self._used(level) else bands[level].start)
            if level + 1 in bands:
                channel = TRACK_MM * self._open_below(level) + 1.0
                y = up_to_grid(bottom + channel + self._strip(level + 1) + BAR_CLEAR_MM)
            level += 1
        self.bottom = max([bottom, *(self.bar_y[1] + least_height(self.stamps, limb) for limb in self._free_limbs())])
        self._fix_floor()

    def _used(self, level: int) -> bool:
        return any(at == level for at in self.rows.level_of.values())

    def _open_above(self) -> int:
        """Wires that will need a way above everything."""
        return sum(
            1
            for limb, level in self.rows.level_of.items()
            if level == 0
            and limb.joint is not None
            and limb.joint.reference is None
            and not limb.slot
            and self.rows.phantom(limb) is None
        )

    def _open_below(self, level: int) -> int:
        """Wires that will need a way under the columns of a level."""
        return sum(
            1
            for limb, at in self.rows.level_of.items()
            if at == level
            and limb.joint is not None
            and limb.joint.reference is None
            and not limb.slot
            and limb.depth == "band"
        )

    # -- columns spaced by themselves -------------------------------------------------------------------------------

    def _free_limbs(self) -> list[Limb]:
        """Batteries at the lower left."""
        return [limb for limb in self.rows.level_of if self.stamps.is_free(limb) and not limb.pendant]

    def free_seats(self, limb: Limb) -> tuple[list[float], list[float]]:
        """Heights of the symbols' middles and of the gaps' middles of a column spaced by itself."""
        if limb.pendant:
            top = self.fan_y(self.rows.owner[limb], upward=False)
            room = self.bar_y[1] - self._strip(1) - BAR_CLEAR_MM - top
        else:
            top, room = self.bar_y[1], self.bottom - self.bar_y[1]
        symbols, gaps = seats(self.stamps, limb, room)
        return [top + symbol for symbol in symbols], [top + gap for gap in gaps]

    # -- earths -----------------------------------------------------------------------------------------------------

    def _tracks(self) -> dict[str, int]:
        """Earths to which several bonds go, each with a track of its own, from the top."""
        joined = {limb.joint.station for limb in self.floor_limbs if limb.joint is not None}
        joined |= {limb.base.station for limb in self.floor_limbs if limb.base is not None}
        joined |= {earth.station.id for earth in self.earths if earth.is_earth_bar}
        ids = [earth.station.id for earth in self.earths if earth.station.id in joined]
        return {station_id: number for number, station_id in enumerate(ids)}

    def _fix_floor(self) -> None:
        first = up_to_grid(self.bottom + 1.0) + (GRID_MM if self.floor_limbs else 0.0)
        self.track_y = {station: first + number * TRACK_MM for station, number in self.tracks.items()}
        last = first + TRACK_MM * max(0, len(self.tracks) - 1)
        stamps = [self.stamps.node(earth) for earth in self.earths if not earth.is_earth_bar]
        tags = [self.stamps.tags(limb)[0] for limb in self.floor_limbs if self.hangs(limb)]
        rise = max((stamp.up for stamp in stamps), default=0.0)
        rise += max((tag.up + tag.down + 2 * MARGIN_MM for tag in tags), default=0.0)
        self.earth_y = up_to_grid(last + 2.5 + rise) if stamps else last
        drop = max((stamp.down for stamp in stamps), default=0.0)
        labels = [self.stamps.node(earth).down for earth in self.earths if earth.is_earth_bar]
        self.height = max(self.earth_y + drop, last + max(labels, default=0.0)) if self.floor_limbs else self.bottom

    # -- questions --------------------------------------------------------------------------------------------------

    def band(self, limb: Limb) -> Band:
        """The rows in which a limb's devices sit."""
        return self.rows.bands[self.rows.level_of[limb]]

    def at(self, level: int, distance: float) -> float:
        """Height of a distance from the bar of a level; level 0 goes upwards from the root bars."""
        return self.bar_y[1] - distance if level == 0 else self.bar_y[level] + distance

    def node_y(self, node: Node) -> float:
        """Height of a symbol's middle."""
        if node in self.rows.row_of:
            level = self.rows.node_level[node]
            return self.at(level, self.rows.bands[level].centres()[self.rows.row_of[node] - 1])
        limb = self.rows.parents.get(node)
        if limb is not None and self.stamps.is_free(limb):
            return self.free_seats(limb)[0][-1]
        if limb is not None and limb.depth == "floor":
            return self.track_y[node.station.id] if node.is_earth_bar else self.earth_y
        return self.bar_y[self.rows.node_level[node]]

    def device_ys(self, limb: Limb) -> list[float]:
        """Heights of a limb's devices."""
        level = self.rows.level_of[limb]
        if self.stamps.is_free(limb):
            return self.free_seats(limb)[0][: len(limb.devices)]
        centres = self.rows.bands[level].centres()
        return [self.at(level, centres[row - 1]) for row in self.rows.seats[limb].devices]

    def tag_ys(self, limb: Limb) -> list[float]:
        """Heights of the middles of a limb's tags."""
        level = self.rows.level_of[limb]
        if self.stamps.is_free(limb):
            return self.free_seats(limb)[1]
        if self.hangs(limb) and limb.tip is not None:
            return [(self.base_y(limb) + self.earth_y - self.stamps.node(limb.tip).up) / 2]
        seat, edges = self.rows.seats[limb], self.rows.bands[level].edges()
        return [self.at(level, sum(edges[row]) / 2) for row in [seat.base, *seat.devices]]

    def base_y(self, limb: Limb) -> float:
        """Where a column begins that is joined to a station elsewhere: at the buses, or low if that is an earth."""
        if limb.base is not None and self.hangs(limb):
            return self.track_y[limb.base.station]
        return self.bar_y[1]

    def hangs(self, limb: Limb) -> bool:
        """A bond that goes straight down from one earth to the next."""
        near = limb.base is not None and limb.base.reference is None and limb.base.station in self.earth_ids
        return near and limb.tip is not None and not limb.devices and not limb.tip.is_earth_bar

    def open_y(self, limb: Limb) -> float:
        """Height at which a limb's own column ends, if its tip is elsewhere."""
        level = self.rows.level_of[limb]
        beside = self.rows.phantom(limb)
        if beside is not None and limb.joint is not None:
            terminal = self.stamps.terminal(beside, limb.joint.port, "W")
            across = self.node_y(beside) + (terminal.y_mm if terminal else 0.0)
            if across < self._outermost_y(limb):
                return across
        if limb.depth == "floor" and limb.joint is not None:
            return self.track_y.get(limb.joint.station, self.earth_y)
        seat = self.rows.seats[limb]
        end = self.rows.bands[level].edges()[seat.tip][1]
        y = self.at(level, end)
        step = math.ceil if level == 0 else math.floor
        return step(y / GRID_MM) * GRID_MM

    def _outermost_y(self, limb: Limb) -> float:
        """Height of the last symbol above the buses on a column that leads up."""
        seat = self.rows.seats[limb]
        row = seat.devices[len(limb.devices) - 1] if limb.devices else seat.base
        return self.at(0, self.rows.bands[0].centres()[row - 1]) - GRID_MM if row else self.bar_y[1]

    def fan_y(self, node: Node, upward: bool) -> float:
        """Height of the line on which the columns at one side of a symbol fan out."""
        distance = self.rows.fan_distance(node, upward)
        return self.node_y(node) + (-distance if upward else distance)
