"""Names the other side of a cut: the sheet and the field of the frame where a wire goes on."""

from __future__ import annotations

from dataclasses import replace

from rigline.layout.compose import Composer
from rigline.layout.forest import Block
from rigline.layout.plan import PlacedWire, Point, SheetSize
from rigline.layout.sheet import frame_box
from rigline.layout.sheets import REFERENCE

ZONE_MM = 50.0
"""Length of a field of the frame. Source: ISO 5457 (from memory)."""
ZONE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Without I and O, which look like digits. Source: ISO 5457 (from memory)."""


def zone_of(size: SheetSize, point: Point) -> str:
    """The field of the frame in which a point lies; what is left over belongs to the last full field.

    >>> zone_of(SheetSize("A3", 420.0, 297.0), (130.0, 70.0))
    'B3'
    """
    frame = frame_box(size)
    column = _field(frame.x1_mm - frame.x0_mm, point[0] - frame.x0_mm)
    row = _field(frame.y1_mm - frame.y0_mm, point[1] - frame.y0_mm)
    return f"{ZONE_LETTERS[row]}{column + 1}"


def _field(length_mm: float, at_mm: float) -> int:
    last = max(1, round(length_mm / ZONE_MM)) - 1
    return min(last, max(0, int(at_mm // ZONE_MM)))


class References:
    """Where both sides of every cut stand."""

    def __init__(self, groups: list[list[Block]], composers: list[Composer], size: SheetSize) -> None:
        self.size = size
        self.stubs: dict[str, str] = {}
        self.ends: dict[str, str] = {}
        self.stations: dict[str, str] = {}
        self.far: dict[str, str] = {}
        self.inward: set[str] = set()
        """Cut wires whose power flows towards the column that has their devices."""
        for number, (group, composer) in enumerate(zip(groups, composers, strict=True), 1):
            for wire in composer.drawn.wires:
                if any(text.text == REFERENCE for text in wire.texts):
                    known = self.stubs if wire.continued else self.ends
                    known[wire.id] = self._place(number, wire.points[-1])
            for symbol in composer.drawn.symbols:
                self.stations[symbol.id] = self._place(number, (symbol.x_mm, symbol.y_mm))
            for bar in composer.drawn.bars:
                self.stations.setdefault(bar.id, self._place(number, (bar.x0_mm, bar.y_mm)))
            self._remember(group)

    def _remember(self, group: list[Block]) -> None:
        """The station to which each cut wire leads."""
        for block in group:
            for _, limb in block.all_limbs():
                if limb.joint is not None and limb.joint.reference is not None and limb.tags and not limb.continued:
                    self.far[limb.tags[-1].segment] = limb.joint.station
                    if limb.flipped:
                        self.inward.add(limb.tags[-1].segment)

    def _place(self, number: int, point: Point) -> str:
        return f"sheet {number} / {zone_of(self.size, point)}"

    def named(self, wire: PlacedWire) -> PlacedWire:
        """The wire with its reference written out, as it is read along the flow of power."""
        if not any(text.text == REFERENCE for text in wire.texts):
            return wire
        # A stub names the column that has the devices; that column names the stub, or else the station itself.
        place = self.ends.get(wire.id) if wire.continued else self.stubs.get(wire.id)
        word = "to" if (wire.id in self.inward) == wire.continued else "from"
        if place is None:
            place = self.stations.get(self.far.get(wire.id, ""), "another sheet")
        name = f"{word} {place}"
        texts = tuple(replace(text, text=name) if text.text == REFERENCE else text for text in wire.texts)
        return replace(wire, texts=texts)
