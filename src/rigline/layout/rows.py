"""At which height everything stands.

Devices of one kind share a row on each level, so that the eye can run along all fuses and all switches. The rows of a
level are the shortest list of kinds in which every column finds its own devices in order. Between two rows is a gap
for the tags of the wires; what height the sheet has left over goes into the gaps.
"""

from __future__ import annotations

from collections.abc import Iterable
from copy import copy

from msgspec import Struct, field
from msgspec.structs import replace

from rigline.layout.columns import loose_seat, up_to_grid
from rigline.layout.forest import Block, Limb, Node
from rigline.layout.free import least_height
from rigline.layout.labels import Stamp, Style
from rigline.layout.stamps import Stamps
from rigline.layout.symbols import GRID_MM

CLASSES = {
    "fuse": "overcurrent",
    "breaker": "overcurrent",
    "rcd": "overcurrent",
    "switch": "switching",
    "selector": "switching",
    "relay": "switching",
    "transfer-switch": "switching",
    "shunt": "measuring",
    "sensor": "measuring",
}
"""Kinds that share a row, by what they do. Our own choice; every other kind has a row of its own."""
TIP = "tip"
CONVERTER = "converter"
MIN_GAP_MM = 5.0
MARGIN_MM = 1.0
"""Clearance between a tag and the symbols above and below it. Our own choice."""
BAR_CLEAR_MM = 2.0
"""Free space at both sides of a bar's middle. Our own choice."""
FAN_MM = 2.0
"""From what surrounds a symbol to the line that fans out. Our own choice."""
LEAST_STRIP_MM = 5.0
"""No level of buses needs less for its labels. Our own choice, for the quick answer only."""
TRACK_MM = 5.0
"""Distance of parallel wires in a channel. Our own choice."""


def merged(first: tuple[str, ...], second: tuple[str, ...]) -> tuple[str, ...]:
    """The shortest list that has both lists in it, in order.

    >>> merged(("shunt", "fuse"), ("switch", "fuse"))
    ('shunt', 'switch', 'fuse')
    """
    rows = [[0] * (len(second) + 1) for _ in range(len(first) + 1)]
    for i in range(len(first) - 1, -1, -1):
        for j in range(len(second) - 1, -1, -1):
            same = first[i] == second[j]
            rows[i][j] = rows[i + 1][j + 1] + 1 if same else max(rows[i + 1][j], rows[i][j + 1])
    result: list[str] = []
    i = j = 0
    while i < len(first) and j < len(second):
        if first[i] == second[j]:
            result.append(first[i])
            i, j = i + 1, j + 1
        elif rows[i + 1][j] >= rows[i][j + 1]:
            result.append(first[i])
            i += 1
        else:
            result.append(second[j])
            j += 1
    return (*result, *first[i:], *second[j:])


class Row(Struct):
    """What a row needs towards the bus and away from it."""

    kind: str
    toward: float = 2.5
    away: float = 2.5
    beside_toward: float = 0.0
    """The same for what stands right of the lines, where the tags are."""
    beside_away: float = 0.0
    least: float = 0.0
    """No nearer to the bus than this: something hangs from here beside the columns."""


class Gap(Struct):
    """The space between two rows."""

    tag: float = 0.0
    """Height that tags need here, with their clearance; 0 if no wire starts here."""
    extra: float = 0.0
    """What it got of the height left over."""


class Band(Struct):
    """The rows of one level, from the bus outward, and the gaps: gaps[0] is between the bus and the first row."""

    kinds: tuple[str, ...] = ()
    rows: list[Row] = field(default_factory=list)
    gaps: list[Gap] = field(default_factory=list)
    start: float = BAR_CLEAR_MM
    """From the bus's middle to the first gap."""
    _edges: list[tuple[float, float]] = field(default_factory=list)
    _centres: list[float] = field(default_factory=list)

    def settle(self) -> None:
        """Compute the rows' places from what they need."""
        edge, beside = self.start, self.start
        self._centres, self._edges = [], []
        for row, gap in zip(self.rows, self.gaps, strict=False):
            least = MIN_GAP_MM if gap.tag else 1.0
            centre = max(edge + least + row.toward, beside + gap.tag + row.beside_toward, self.start + row.least)
            self._centres.append(up_to_grid(centre + gap.extra))
            self._edges.append((beside, self._centres[-1] - row.beside_toward))
            edge, beside = self._centres[-1] + row.away, self._centres[-1] + row.beside_away
        last = self.gaps[-1] if self.gaps else Gap()
        end = max(edge, beside + last.tag + last.extra)
        self._edges.append((beside, end))

    def centres(self) -> list[float]:
        """Distance of each row's middle from the bus."""
        return self._centres

    def edges(self) -> list[tuple[float, float]]:
        """Beginning and end of each gap where the tags are, as distances from the bus."""
        return self._edges

    def height(self) -> float:
        """From the bus's middle to the far end of the level."""
        return max(self._edges[-1][1], self._centres[-1] + self.rows[-1].away if self.rows else 0.0)


class Seat(Struct):
    """Rows of a limb's devices and of its tip on its level; 0 is the bus."""

    base: int
    devices: list[int]
    tip: int
    """Row of the tip, or of the last device if the tip is elsewhere."""


class Rows:
    """Seats everything of a list of blocks in the rows of its level."""

    def __init__(self, blocks: list[Block], stamps: Stamps) -> None:
        self.stamps = stamps
        self.level_of: dict[Limb, int] = {}
        self.seats: dict[Limb, Seat] = {}
        self._kinds_of: dict[Limb, list[str]] = {}
        self.row_of: dict[Node, int] = {}
        self.node_level: dict[Node, int] = {}
        self.owner: dict[Limb, Node] = {}
        self.parents: dict[Node, Limb] = {}
        self.bars: dict[int, list[Node]] = {}
        self.by_id = {node.station.id: node for block in blocks for node in block.nodes()}
        self.bands: dict[int, Band] = {0: Band(), 1: Band()}
        self._level(blocks)
        self.least_row = self._least_rows()
        self._template()
        self._seat()
        self._measure()

    def in_style(self, stamps: Stamps) -> Rows:
        """The same seats measured in another style, which must count rows alike and have the same batteries below."""
        other = copy(self)
        other.stamps = stamps
        other.bands = {level: Band(band.kinds) for level, band in self.bands.items()}
        other._measure()
        return other

    def least_height(self) -> float:
        """No sheet lower than this can hold these rows."""
        inside = sum(band.height() for band in self.bands.values()) + LEAST_STRIP_MM * len(self.bars)
        bonds = [limb for limb in self.level_of if limb.depth == "floor"]
        earths = [self.stamps.node(limb.tip) for limb in bonds if limb.tip is not None]
        return inside + max((stamp.up + stamp.down + GRID_MM for stamp in earths), default=0.0)

    # -- which level ------------------------------------------------------------------------------------------------

    def _level(self, blocks: list[Block]) -> None:
        stack = [(block.root, 1) for block in blocks if not block.loose]
        for block in blocks:
            stack += [(node, loose_seat(i, len(block.loose))[0]) for i, node in enumerate(block.loose)]
        while stack:
            node, level = stack.pop()
            self.node_level[node] = level
            if node.is_bar or node.zone == "root":
                self.bars.setdefault(level, []).append(node)
                self.bands.setdefault(level, Band())
            for limb in node.limbs():
                above = limb.pendant or (limb in node.up and limb.tip not in self.stamps.lowered)
                at = 0 if above else level
                self.level_of[limb], self.owner[limb] = at, node
                if limb.tip is not None:
                    self.parents[limb.tip] = limb
                    stack.append((limb.tip, at + 1 if limb.tip.is_bar and limb.depth == "band" else at))

    def tracked(self) -> Iterable[Limb]:
        """Limbs that keep to the rows."""
        return [limb for limb in self.level_of if not self.stamps.is_free(limb)]

    # -- rows -------------------------------------------------------------------------------------------------------

    def _kinds(self, limb: Limb) -> list[str]:
        if limb not in self._kinds_of:
            self._kinds_of[limb] = self._found_kinds(limb)
        return self._kinds_of[limb]

    def _found_kinds(self, limb: Limb) -> list[str]:
        kinds = [CLASSES.get(device.kind, device.kind) for device in limb.devices]
        tip = limb.tip
        if tip is not None and not tip.is_bar and limb.depth == "band":
            kinds.append(self._node_kind(tip, self.level_of[limb]))
        elif self.phantom(limb) is not None:
            kinds.append(CONVERTER)
        return kinds

    def _node_kind(self, node: Node, level: int) -> str:
        outward = node.up if level == 0 else node.down
        if not any(limb.base is None for limb in outward) and not self._joined_to(node):
            return TIP
        return CONVERTER if node.station.role == "converter" else node.station.role

    def _joined_to(self, node: Node) -> bool:
        """A converter keeps its row even if its other side is joined from elsewhere."""
        return node.station.role == "converter" and node.zone == "up"

    def phantom(self, limb: Limb) -> Node | None:
        """The converter beside which a joint above the buses ends, so that its wire goes straight into it."""
        if limb.joint is None or limb.joint.reference is not None or self.level_of[limb] != 0 or limb.slot:
            return None
        target = self.by_id.get(limb.joint.station)
        if (
            target is None
            or target is self.owner[limb]
            or target.is_bar
            or target.zone != "up"
            or target.station.role != "converter"
        ):
            return None
        terminal = self.stamps.terminal(target, limb.joint.port, "W")
        return target if terminal is not None and terminal.side == "W" else None

    def _least_rows(self) -> dict[Node, int]:
        """Converters that something is joined to from the side stand further out than the devices on that column."""
        if not self.stamps.style.mixed:
            return {}
        found: dict[Node, int] = {}
        for limb in self.level_of:
            beside = self.phantom(limb)
            if beside is not None:
                found[beside] = max(found.get(beside, 0), len(limb.devices) + 1)
        return found

    def _template(self) -> None:
        """The row kinds of each level, from all columns that go through it."""
        paths: dict[int, dict[tuple[str, ...], None]] = {}
        roots = self._roots()
        for limb in self.tracked():
            if limb in roots:
                for path in self._paths(limb):
                    paths.setdefault(self.level_of[limb], {})[path] = None
        for level, found in paths.items():
            self.bands.setdefault(level, Band()).kinds = self._row_kinds(list(found))

    def _row_kinds(self, paths: list[tuple[str, ...]]) -> tuple[str, ...]:
        """The rows of one level, from the bus outward."""
        if self.stamps.style.mixed:
            return ("",) * max(len(path) for path in paths)
        kinds: tuple[str, ...] = ()
        for path in sorted(paths, key=lambda path: -len(path)):
            kinds = merged(kinds, tuple(kind for kind in path if kind != TIP))
        return kinds + ((TIP,) if any(TIP in path for path in paths) else ())

    def _row_for(self, name: str, kinds: tuple[str, ...], row: int) -> int:
        """The next row beyond `row` for a kind."""
        if self.stamps.style.mixed:
            return len(kinds) if name == TIP else row + 1
        return kinds.index(name, row) + 1

    def _roots(self) -> set[Limb]:
        """Limbs that start on a bus or on the root of a block."""
        return {limb for limb in self.level_of if self.owner[limb].is_bar or self.owner[limb].zone == "root"}

    def _paths(self, limb: Limb) -> list[tuple[str, ...]]:
        """The kinds on every way from a bus outward on one level."""
        result: list[tuple[str, ...]] = []
        stack: list[tuple[Limb, tuple[str, ...]]] = [(limb, ())]
        while stack:
            current, before = stack.pop()
            path, tip = (*before, *self._kinds(current)), current.tip
            missing = self.least_row.get(tip, 0) - len(path) if tip is not None else 0
            path = (*path[:-1], *[""] * missing, *path[-1:])
            onward = tip.limbs() if tip is not None and not tip.is_bar else []
            follow = [child for child in onward if child.depth == "band" and not child.pendant]
            stack.extend((child, path) for child in follow)
            if not follow:
                result.append(path)
        return result

    def _seat(self) -> None:
        for limb in sorted(self.tracked(), key=self._distance):
            owner = self.owner[limb]
            base = self.row_of.get(owner, 0) if not owner.is_bar and owner.zone != "root" else 0
            kinds = self.bands[self.level_of[limb]].kinds
            row, devices = base, []
            names = self._kinds(limb)
            for name in names:
                row = self._row_for(name, kinds, row)
                devices.append(row)
            has_tip = limb.tip is not None and not limb.tip.is_bar and limb.depth == "band"
            if has_tip and limb.tip in self.least_row:
                row = max(row, self.least_row[limb.tip])
            self.seats[limb] = Seat(base, devices[: len(limb.devices)], row if has_tip or devices else base)
            if has_tip and limb.tip is not None:
                self.row_of[limb.tip] = row

    def _distance(self, limb: Limb) -> int:
        """Number of symbols between a limb and its bus."""
        count, owner = 0, self.owner[limb]
        while not owner.is_bar and owner in self.parents:
            count, owner = count + 1, self.owner[self.parents[owner]]
        return count

    # -- heights ----------------------------------------------------------------------------------------------------

    def _measure(self) -> None:
        for band in self.bands.values():
            band.rows = [Row(kind) for kind in band.kinds]
            band.gaps = [Gap() for _ in range(len(band.kinds) + 1)]
        for limb, seat in self.seats.items():
            self._measure_limb(limb, seat)
        style = self.stamps.style
        for level, band in self.bands.items():
            if not style.turned and (style.left == "all" or (style.left == "up" and level == 0)):
                self._tighten(level, band)
            band.settle()

    def _measure_limb(self, limb: Limb, seat: Seat) -> None:
        level = self.level_of[limb]
        band = self.bands[level]
        for device, row in zip(limb.devices, seat.devices, strict=False):
            self._take(band.rows[row - 1], self.stamps.device(limb, device), level)
        for stamp, row in zip(self.stamps.tags(limb), [seat.base, *seat.devices], strict=False):
            gap = band.gaps[row]
            gap.tag = max(gap.tag, stamp.up + stamp.down + 2 * MARGIN_MM)
        tip = limb.tip
        if tip is not None and tip in self.row_of:
            stamp = self.stamps.node(tip)
            if self.fans(tip, level):
                out = self.fan_distance(tip) + 0.5
                if level == 0:
                    stamp = replace(stamp, up=out, beside_up=out)
                else:
                    stamp = replace(stamp, down=out, beside_down=out)
            if any(hung.pendant for hung in tip.down):
                stamp = self._hung(tip, stamp, band.rows[seat.tip - 1])
            self._take(band.rows[seat.tip - 1], stamp, level)

    def _hung(self, tip: Node, stamp: Stamp, row: Row) -> Stamp:
        """Room for what hangs from a symbol above a bus: the line that leads to it, and its own height."""
        out = self.fan_distance(tip, upward=False)
        longest = max(least_height(self.stamps, hung) for hung in tip.down if hung.pendant)
        row.least = max(row.least, out + longest + GRID_MM)
        return replace(stamp, down=out + 0.5, beside_down=out + 0.5)

    def _take(self, row: Row, stamp: Stamp, level: int) -> None:
        toward, away, beside_toward, beside_away = stamp.up, stamp.down, stamp.beside_up, stamp.beside_down
        if not level:
            toward, away, beside_toward, beside_away = away, toward, beside_away, beside_toward
        if toward > row.toward:
            row.toward = toward
        if away > row.away:
            row.away = away
        if beside_toward > row.beside_toward:
            row.beside_toward = beside_toward
        if beside_away > row.beside_away:
            row.beside_away = beside_away

    def _tighten(self, level: int, band: Band) -> None:
        """Tags at the left stand beside the symbols: only their distance from each other counts."""
        for row in band.rows:
            row.beside_toward, row.beside_away = row.toward, row.away
        for number, gap in enumerate(band.gaps[1:-1], 1):
            fans = any(self.fans(node, level) for node, row in self.row_of.items() if row == number)
            if gap.tag > 0 and not fans:
                before, after = band.rows[number - 1], band.rows[number]
                beside = min(before.toward + before.away, after.toward + after.away)
                gap.tag = max(0.1, gap.tag - beside)

    def fans(self, node: Node, level: int) -> bool:
        """Several columns leave one side of a symbol."""
        outward = node.up if level == 0 else node.down
        return sum(limb.base is None for limb in outward) > 1

    def fan_distance(self, node: Node, upward: bool | None = None) -> float:
        """From a symbol's middle to the line on which its columns fan out."""
        stamp = self.stamps.node(node)
        upward = self.node_level[node] == 0 if upward is None else upward
        return up_to_grid((stamp.up if upward else stamp.down) + FAN_MM)


class RowBook:
    """The rows of the same blocks in many styles: who sits where is found once for all styles that count rows alike."""

    def __init__(self, blocks: list[Block]) -> None:
        self._blocks = blocks
        self._seated: dict[tuple[bool, frozenset[Node]], Rows] = {}
        self._measured: dict[tuple[Style, frozenset[Node]], Rows] = {}

    def rows(self, stamps: Stamps) -> Rows:
        """The rows in a style."""
        key = (stamps.style, stamps.lowered)
        if key not in self._measured:
            self._measured[key] = self._measure(stamps)
        return self._measured[key]

    def _measure(self, stamps: Stamps) -> Rows:
        seated = self._seated.get((stamps.style.mixed, stamps.lowered))
        if seated is not None:
            return seated.in_style(stamps)
        return self._seated.setdefault((stamps.style.mixed, stamps.lowered), Rows(self._blocks, stamps))
