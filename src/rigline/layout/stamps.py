"""The stamps of one system in one style, measured once and asked for often."""

from __future__ import annotations

from copy import copy
from itertools import pairwise

from rigline.layout.forest import Limb, Node
from rigline.layout.labels import (
    BUS_MM,
    CONTINUED,
    DATA_MM,
    FLAG_MM,
    REFERENCE,
    Stamp,
    Style,
    block_height,
    device_stamp,
    measured,
    station_stamp,
    tag_stamp,
    with_entries,
    with_reference,
    wrapped,
)
from rigline.layout.oneline import Device
from rigline.layout.symbols import OPPOSITE, SymbolBox, SymbolCache, SymbolTable, Terminal, turned

NAME_GAP_MM = 4.0
"""Between the parts of a bus's label when they stand in one row. Our own choice."""
MOST_SLASHES = 3
"""More conductors than this are marked by one slash and a figure. Source: IEC 61082-1, 7.1.3.6 allows both."""
FIGURE_MM = 1.5
"""Room for that figure between a wire and its tag. Our own choice."""
NAME_DROP_MM = 1.3
"""Between a bus's designation and the line below it. Our own choice: its descenders and a little."""

ColumnKey = tuple[Limb, bool, bool, bool, int | None, bool]
"""A limb, and what of its state and style its stamps depend on."""


class Stamps:
    """Measures devices, tags, stations and bus labels."""

    def __init__(self, book: StampBook, style: Style) -> None:
        self.symbols = book.symbols
        self.style = style
        self.lowered: frozenset[Node] = frozenset()
        """Batteries that hang at the lower left of their bus, each in a column of its own."""
        self.outside = False
        """Bonds go down at the outer ends of the buses, so that sub-buses may spread in the middle."""
        self._devices = book.devices.setdefault((style.turned, style.joined), {})
        self._nodes = book.nodes.setdefault((style.narrow, style.joined), {})
        self._tags = book.tags.setdefault((style.turned, style.joined), {})
        self._reaches = book.reaches.setdefault((style.turned, style.joined), {})

    def variant(self, lowered: frozenset[Node], outside: bool) -> Stamps:
        """The same measures with batteries or bonds elsewhere."""
        other = copy(self)
        other.lowered, other.outside = lowered, outside
        return other

    def box(self, node: Node) -> SymbolBox:
        """Outline of a station's symbol."""
        return self.symbols[node.station.kind]

    def ups(self, node: Node) -> list[Limb]:
        """Columns above, less the batteries if they stand below."""
        return [limb for limb in node.up if limb.tip not in self.lowered]

    def downs(self, node: Node) -> list[Limb]:
        """Columns below, batteries first if they stand there, bonds where their style wants them."""
        columns = [limb for limb in node.up if limb.tip in self.lowered] + node.down
        if not self.outside:
            return columns
        return sorted(columns, key=lambda limb: self.facing(limb) if limb.depth == "floor" else 0)

    def facing(self, limb: Limb) -> int:
        """Towards which end of its bus a column should stand."""
        turned = self.outside and limb.depth == "floor" and limb.base is None
        return -limb.facing if turned else limb.facing

    def is_free(self, limb: Limb) -> bool:
        """Spaced by itself, not in the rows of its neighbours."""
        return limb.pendant or limb.tip in self.lowered

    def inward(self, node: Node) -> str:
        """The side of a symbol that looks at its bus."""
        return "S" if node.zone == "up" and node not in self.lowered else "N"

    def is_turned(self, node: Node) -> bool:
        """A load above a bus, or anything else whose only terminal is on the far side, stands upside down."""
        if node.zone == "root" or node.is_bar:
            return False
        sides = self.symbols.sides(node.station.kind)
        wanted, other = ("S", "N") if self.inward(node) == "S" else ("N", "S")
        return wanted not in sides and other in sides

    def terminal(self, node: Node, port: str, side: str) -> Terminal | None:
        """Where a limb ends at a symbol."""
        kind = node.station.kind
        if self.is_turned(node):
            found = self.symbols.terminal(kind, port, OPPOSITE[side])
            found = turned(found) if found is not None else None
        else:
            found = self.symbols.terminal(kind, port, side)
        # The label stands at the right, and a line from the far side would run through the symbol.
        return found if found is not None and found.side in (side, "W") else None

    def narrow(self, limb: Limb) -> bool:
        """Columns of loads, of which there are many, are narrow; feeders of buses and sources are not."""
        tip = limb.tip
        return self.style.narrow and tip is not None and not limb.above and not tip.is_bar

    def device(self, limb: Limb, device: Device) -> Stamp:
        """A device in line."""
        key = (id(device), self.narrow(limb))
        if key not in self._devices:
            self._devices[key] = device_stamp(device, self.symbols[device.kind], self.style, key[1])
        return self._devices[key]

    def node(self, node: Node) -> Stamp:
        """A station's symbol with its label, seen from the symbol's centre."""
        ends_below = node.zone == "down" and not node.down and node.station.role in ("load", "earth", "converter")
        place = self.style.load_label if ends_below and not node.referring else "right"
        key = (node, "bar" if node.is_earth_bar else place, node.referring)
        if key not in self._nodes:
            stamp = station_stamp(node.station, self.box(node), key[1], self.style.narrow, self.style.joined)
            entries = tuple(f"{segment} {REFERENCE}" for segment in node.referring)
            self._nodes[key] = with_entries(stamp, entries) if entries else stamp
        return self._nodes[key]

    def left_tags(self, limb: Limb) -> bool:
        """The tags of this limb stand left of its wire."""
        left = self.style.left
        if not left or self.style.turned:
            return False
        return left == "all" or (limb.above and not self.is_free(limb))

    def _drawn(self, limb: Limb) -> ColumnKey:
        """What a limb's stamps depend on."""
        base, joint = limb.base, limb.joint
        return (
            limb, self.left_tags(limb), base is not None and base.reference is not None,
            joint is not None and joint.reference is not None, limb.keep, self.narrow(limb),
        )  # fmt: skip

    def tags(self, limb: Limb) -> list[Stamp]:
        """The tags of a limb, from its base outward."""
        key = self._drawn(limb)
        if key not in self._tags:
            left, narrow = key[1], key[-1]
            tip = 0.0 if limb.tip is None or limb.tip.is_bar else self.box(limb.tip).width_mm / 2
            base = self.symbols[limb.stands_on].width_mm / 2 if limb.stands_on else 0.0
            halves = [base, *(self.symbols[device.kind].width_mm / 2 for device in limb.devices), tip]
            offsets = [1.2 + max(a, b) for a, b in pairwise(halves)]
            figure = FIGURE_MM if limb.feeder.conductors > MOST_SLASHES else 0.0
            pairs = zip(limb.tags, offsets, strict=False)
            stamps = [tag_stamp(tag, self.style, narrow, left, offset, figure) for tag, offset in pairs]
            self._tags[key] = self._referred(limb, stamps, left)
        return self._tags[key]

    def _referred(self, limb: Limb, stamps: list[Stamp], left: bool) -> list[Stamp]:
        """With the reference of a limb that goes on elsewhere."""
        if limb.base is not None and limb.base.reference is not None:
            first = stamps[0] if stamps else Stamp(0.0, 0.0, 0.0, 0.0)
            stamps = [with_reference(first, limb.base.reference, left), *stamps[1:]]
        if limb.joint is None or limb.joint.reference is None:
            return stamps
        last = stamps[-1] if stamps else Stamp(0.0, 0.0, 0.0, 0.0)
        return [*stamps[:-1], with_reference(last, limb.joint.reference, left)]

    def chain_reach(self, limb: Limb) -> tuple[float, float]:
        """How far the line of a limb with its devices and tags reaches to the left and right."""
        if limb.slot:
            return (1.25, 1.25)
        key = self._drawn(limb)
        if key not in self._reaches:
            self._reaches[key] = self._found_reach(limb)
        return self._reaches[key]

    def _found_reach(self, limb: Limb) -> tuple[float, float]:
        stamps = [*self.tags(limb), *(self.device(limb, device) for device in limb.devices)]
        left = max([1.0, *(stamp.left for stamp in stamps)])
        right = max([1.0, *(stamp.right for stamp in stamps)])
        return left, right

    # -- labels of bars ---------------------------------------------------------------------------------------------

    def bar_lines(self, bar: Node) -> tuple[str, ...]:
        """What stands at a bar."""
        lines = wrapped(bar.station.lines, DATA_MM) or (bar.station.id,)
        return (f"{lines[0]} {bar.part}".strip(), *lines[1:], *([CONTINUED] if bar.part else []))

    def bar_label_width(self, bar: Node) -> float:
        """Width of a bar's label in its narrow form, one line below the other, with its flags."""
        lines = self.bar_lines(bar)
        widths = [measured(lines[0], BUS_MM, True), *(measured(line, DATA_MM) for line in lines[1:])]
        return max(widths) + self._flag_room(bar)

    def bar_label_row(self, bar: Node) -> float:
        """Width of a bar's label in its wide form, all in one row."""
        lines = self.bar_lines(bar)
        widths = [measured(lines[0], BUS_MM, True), *(measured(line, DATA_MM) for line in lines[1:])]
        return sum(widths) + NAME_GAP_MM * (len(widths) - 1) + self._flag_room(bar)

    def _flag_room(self, bar: Node) -> float:
        flags = len(bar.station.flags)
        return flags * FLAG_MM + 1.0 if flags else 0.0

    def bar_label_height(self, bar: Node) -> float:
        """Height of the narrow form."""
        lines = self.bar_lines(bar)
        return BUS_MM * 1.1 + (block_height(lines[1:], DATA_MM) + NAME_DROP_MM if len(lines) > 1 else 0.0)


def lowerable(roots: list[Node]) -> frozenset[Node]:
    """Batteries that may hang at the lower left: those that stand alone on a bus of the top level."""
    tips = [limb.tip for root in roots if root.is_bar for limb in root.up if limb.tip is not None]
    feeding = {limb.base.station for root in roots for limb in root.down if limb.base is not None}
    fit = [tip for tip in tips if tip.station.role == "storage" and not tip.limbs()]
    return frozenset(tip for tip in fit if tip.station.id not in feeding)


class StampBook:
    """The stamps of one system in every style, so that nothing is measured twice."""

    def __init__(self, symbols: SymbolTable) -> None:
        self.symbols = SymbolCache(symbols)
        self.devices: dict[tuple[bool, bool], dict[tuple[int, bool], Stamp]] = {}
        """By what of the style matters, then by the identity of the device and whether its column is narrow."""
        self.nodes: dict[tuple[bool, bool], dict[tuple[Node, str, tuple[str, ...]], Stamp]] = {}
        self.tags: dict[tuple[bool, bool], dict[ColumnKey, list[Stamp]]] = {}
        self.reaches: dict[tuple[bool, bool], dict[ColumnKey, tuple[float, float]]] = {}
        self._by_style: dict[Style, Stamps] = {}

    def in_style(self, style: Style) -> Stamps:
        """The stamps of a style."""
        if style not in self._by_style:
            self._by_style[style] = Stamps(self, style)
        return self._by_style[style]
