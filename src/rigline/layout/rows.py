"""At which height everything stands.

Devices of one kind share a row on each level, so that the eye can run along all fuses and all switches. The rows of a
level are the shortest list of kinds in which every column finds its own devices in order. Between two rows is a gap
for the tags of the wires; what height the sheet has left over goes into the gaps.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from rigline.layout.columns import up_to_grid
from rigline.layout.forest import Block, Limb, Node
from rigline.layout.stamps import Stamps

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
MARGIN_MM = 1.2
"""Clearance between a tag and the symbols above and below it. Our own choice: 1 mm and a little."""
BAR_CLEAR_MM = 2.0
"""Free space at both sides of a bar's middle. Our own choice."""
FAN_MM = 2.0
"""From what surrounds a symbol to the line that fans out. Our own choice."""
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


@dataclass
class Band:
    """The rows of one level: what each needs towards the bus and away from it, and the gaps between."""

    kinds: tuple[str, ...] = ()
    toward: list[float] = field(default_factory=list)
    away: list[float] = field(default_factory=list)
    gaps: list[float] = field(default_factory=list)
    """gaps[0] is between the bus and the first row; one more than rows."""
    start: float = BAR_CLEAR_MM
    """From the bus's middle to the first gap."""

    def centres(self) -> list[float]:
        """Distance of each row's middle from the bus."""
        result: list[float] = []
        edge = self.start
        for toward, away, gap in zip(self.toward, self.away, self.gaps, strict=False):
            result.append(up_to_grid(edge + gap + toward))
            edge = result[-1] + away
        return result

    def edges(self) -> list[tuple[float, float]]:
        """Beginning and end of each gap, as distances from the bus."""
        centres = self.centres()
        begins = [self.start, *(c + a for c, a in zip(centres, self.away, strict=True))]
        ends = [c - t for c, t in zip(centres, self.toward, strict=True)]
        last = begins[-1] + (self.gaps[-1] if self.gaps else 0.0)
        return list(zip(begins, [*ends, last], strict=True))

    def height(self) -> float:
        """From the bus's middle to the far end of the level."""
        return self.edges()[-1][1]


@dataclass
class Seat:
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
        self.row_of: dict[Node, int] = {}
        self.node_level: dict[Node, int] = {}
        self.owner: dict[Limb, Node] = {}
        self.parents: dict[Node, Limb] = {}
        self.bars: dict[int, list[Node]] = {}
        self.by_id = {node.station.id: node for block in blocks for node in block.nodes()}
        self.bands: dict[int, Band] = {0: Band(), 1: Band()}
        self._level(blocks)
        self._template()
        self._seat()
        self._measure()

    def least_height(self) -> float:
        """No sheet lower than this can hold these rows."""
        return sum(band.height() for band in self.bands.values())

    # -- which level ------------------------------------------------------------------------------------------------

    def _level(self, blocks: list[Block]) -> None:
        stack = [(node, 1) for block in blocks for node in (block.loose or (block.root,))]
        while stack:
            node, level = stack.pop()
            self.node_level[node] = level
            if node.is_bar or node.zone == "root":
                self.bars.setdefault(level, []).append(node)
                self.bands.setdefault(level, Band())
            for limb in node.limbs():
                above = limb in node.up and limb.tip not in self.stamps.lowered
                at = 0 if above else level
                self.level_of[limb], self.owner[limb] = at, node
                if limb.tip is not None:
                    self.parents[limb.tip] = limb
                    stack.append((limb.tip, at + 1 if limb.tip.is_bar and limb.depth == "band" else at))

    def tracked(self) -> Iterable[Limb]:
        """Limbs that keep to the rows, with bases before tips."""
        return [limb for limb in self.level_of if not self.stamps.is_free(limb) and not self._on_earth(limb)]

    def _on_earth(self, limb: Limb) -> bool:
        """Hangs from an earth at the bottom, below all levels."""
        owner = self.owner[limb]
        return owner.zone == "down" and (owner.station.role == "earth" or owner.station.medium == "earth")

    # -- rows -------------------------------------------------------------------------------------------------------

    def _kinds(self, limb: Limb) -> list[str]:
        kinds = [CLASSES.get(device.kind, device.kind) for device in limb.devices]
        tip = limb.tip
        if tip is not None and not tip.is_bar and limb.depth == "band":
            kinds.append(self._node_kind(tip, self.level_of[limb]))
        elif self.phantom(limb) is not None:
            kinds.append(CONVERTER)
        return kinds

    def _node_kind(self, node: Node, level: int) -> str:
        outward = node.up if level == 0 else node.down
        if not any(limb.base is None for limb in outward) and self._joined_to(node) is False:
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
        if target is None or target.is_bar or target.zone != "up" or target.station.role != "converter":
            return None
        terminal = self.stamps.terminal(target, limb.joint.port, "W")
        return target if terminal is not None and terminal.side == "W" else None

    def _template(self) -> None:
        """The row kinds of each level, from all columns that go through it."""
        paths: dict[int, dict[tuple[str, ...], None]] = {}
        roots = self._roots()
        for limb in self.tracked():
            if limb in roots:
                for path in self._paths(limb):
                    paths.setdefault(self.level_of[limb], {})[path] = None
        for level, found in paths.items():
            kinds: tuple[str, ...] = ()
            has_tip = any(TIP in path for path in found)
            for path in sorted(found, key=lambda path: -len(path)):
                kinds = merged(kinds, tuple(kind for kind in path if kind != TIP))
            self.bands.setdefault(level, Band()).kinds = kinds + ((TIP,) if has_tip else ())

    def _roots(self) -> set[Limb]:
        """Limbs that start on a bus or on the root of a block."""
        return {limb for limb in self.level_of if self.owner[limb].is_bar or self.owner[limb].zone == "root"}

    def _paths(self, limb: Limb) -> list[tuple[str, ...]]:
        """The kinds on every way from a bus outward on one level."""
        result: list[tuple[str, ...]] = []
        stack = [(limb, ())]
        while stack:
            current, before = stack.pop()
            path = (*before, *self._kinds(current))
            tip = current.tip
            follow = [] if tip is None or tip.is_bar else [x for x in tip.limbs() if x.depth == "band"]
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
                row = kinds.index(name, row) + 1
                devices.append(row)
            has_tip = limb.tip is not None and not limb.tip.is_bar and limb.depth == "band"
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
            count = len(band.kinds)
            band.toward, band.away = [2.5] * count, [2.5] * count
            band.gaps = [0.0] * (count + 1)
        for limb, seat in self.seats.items():
            self._measure_limb(limb, seat)
        style = self.stamps.style
        for level, band in self.bands.items():
            if not style.turned and (style.left == "all" or (style.left == "up" and level == 0)):
                self._tighten(band)

    def _measure_limb(self, limb: Limb, seat: Seat) -> None:
        level = self.level_of[limb]
        band = self.bands[level]
        for device, row in zip(limb.devices, seat.devices, strict=False):
            stamp = self.stamps.device(device)
            self._take(band, row, stamp.up, stamp.down, level)
        for stamp, row in zip(self.stamps.tags(limb), [seat.base, *seat.devices], strict=False):
            band.gaps[row] = max(band.gaps[row], stamp.up + stamp.down + 2 * MARGIN_MM, MIN_GAP_MM)
        tip = limb.tip
        if tip is not None and tip in self.row_of:
            stamp = self.stamps.node(tip)
            out = self.fan_distance(tip) + 0.5 if self.fans(tip, level) else 0.0
            up, down = (max(stamp.up, out), stamp.down) if level == 0 else (stamp.up, max(stamp.down, out))
            self._take(band, seat.tip, up, down, level)
        if limb.joint is not None and limb.joint.reference is not None:
            row = seat.tip
            band.gaps[row] = max(band.gaps[row], MIN_GAP_MM)

    def _take(self, band: Band, row: int, up: float, down: float, level: int) -> None:
        toward, away = (down, up) if level == 0 else (up, down)
        band.toward[row - 1] = max(band.toward[row - 1], toward)
        band.away[row - 1] = max(band.away[row - 1], away)

    def _tighten(self, band: Band) -> None:
        """Tags at the left stand beside the symbols: only their distance from each other counts."""
        for gap in range(1, len(band.gaps)):
            fans = any(self.fans(node, self.node_level[node]) for node, row in self.row_of.items() if row == gap)
            last = gap == len(band.gaps) - 1
            if band.gaps[gap] > 0 and not fans and not last:
                beside = min(band.toward[gap - 1] + band.away[gap - 1], band.toward[gap] + band.away[gap])
                band.gaps[gap] = max(MIN_GAP_MM, band.gaps[gap] - beside)

    def fans(self, node: Node, level: int) -> bool:
        """Several columns leave one side of a symbol."""
        outward = node.up if level == 0 else node.down
        return sum(limb.base is None for limb in outward) > 1

    def fan_distance(self, node: Node, upward: bool | None = None) -> float:
        """From a symbol's middle to the line on which its columns fan out."""
        stamp = self.stamps.node(node)
        upward = self.node_level[node] == 0 if upward is None else upward
        return up_to_grid((stamp.up if upward else stamp.down) + FAN_MM)
