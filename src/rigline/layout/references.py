"""Names the other side of a cut: the sheet and the field of the frame where a wire goes on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping

from msgspec.structs import replace

from rigline.layout.compose import Composer
from rigline.layout.forest import Block
from rigline.layout.labels import CONTINUED, REFERENCE, SOURCE_REFERENCE
from rigline.layout.plan import Arrow, PlacedBar, PlacedWire, Point, SheetSize, Target, Text
from rigline.layout.sheet import zone_at

Way = Callable[[PlacedWire], tuple[str, Target | None]]
"""From a cut wire to the word before its reference, and where it leads."""


MOST_NAMED = 3
"""Further sheets of one bus are left out of its label. Our own choice: they follow each other."""


class References:
    """Where both sides of every cut stand."""

    def __init__(self, groups: list[list[Block]], composers: list[Composer], size: SheetSize) -> None:
        self.size = size
        self.stubs: dict[str, Target] = {}
        self.ends: dict[str, Target] = {}
        self.stations: dict[str, Target] = {}
        self.starts: dict[str, Target] = {}
        self.far: dict[str, str] = {}
        self.sources: dict[str, str] = {}
        self.parts: dict[str, list[tuple[int, float]]] = defaultdict(list)
        """The sheets on which each bus or station stands, and its left end there."""
        self.inward: set[str] = set()
        """Cut wires whose power flows towards the column that has their devices."""
        for number, (group, composer) in enumerate(zip(groups, composers, strict=True), 1):
            for wire in composer.drawn.wires:
                if any(text.text == SOURCE_REFERENCE for text in wire.texts):
                    self.starts[wire.id] = self._place(number, wire.points[0])
                if any(text.text == REFERENCE for text in wire.texts):
                    known = self.stubs if wire.continued else self.ends
                    known[wire.id] = self._place(number, wire.points[-1])
            for symbol in composer.drawn.symbols:
                self.parts[symbol.id].append((number, symbol.x_mm))
                self.stations[symbol.id] = self._place(number, (symbol.x_mm, symbol.y_mm))
            for bar in composer.drawn.bars:
                self.parts[bar.id].append((number, bar.x0_mm))
                self.stations.setdefault(bar.id, self._place(number, (bar.x0_mm, bar.y_mm)))
            self._remember(group)

    def _remember(self, group: list[Block]) -> None:
        """The station to which each cut wire leads."""
        for block in group:
            for _, limb in block.all_limbs():
                if limb.base is not None and limb.base.reference is not None and limb.tags:
                    self.sources[limb.tags[0].segment] = limb.base.station
                if limb.joint is not None and limb.joint.reference is not None and limb.tags and not limb.continued:
                    self.far[limb.tags[-1].segment] = limb.joint.station
                    if limb.flipped:
                        self.inward.add(limb.tags[-1].segment)

    def _place(self, number: int, point: Point) -> Target:
        return Target(number, *point)

    def _words(self, word: str, place: Target | None) -> str:
        if place is None:
            return f"{word} another sheet"
        return f"{word} sheet {place.sheet} / {zone_at(self.size, place.x_mm, place.y_mm)}"

    def named(self, wire: PlacedWire) -> PlacedWire:
        """The wire with its references written out, as they are read along the flow of power."""
        ways = {REFERENCE: self._end, SOURCE_REFERENCE: self._start}
        if not any(text.text in ways for text in wire.texts):
            return wire
        texts, arrows = [], []
        for text in wire.texts:
            written = self._written(text, ways, wire)
            if text.text in ways:
                at = wire.points[-1] if text.text == REFERENCE else wire.points[0]
                arrows.append(Arrow(*at, outward=written.text.startswith("to ")))
            texts.append(written)
        return replace(wire, texts=tuple(texts), arrows=tuple(arrows))

    def entries(self, id: str, texts: tuple[Text, ...], number: int) -> tuple[Text, ...]:
        """A label on a sheet with the places of what comes from other sheets, or goes on there."""
        return tuple(self._entry(id, text, number) for text in texts)

    def bar_label(self, bar: PlacedBar, number: int) -> tuple[Text, ...]:
        """A bus's label on a sheet; the parts of a bus are counted anew, for a part may have been parted again."""
        texts = self.entries(bar.id, bar.texts, number)
        if not any(text.text == CONTINUED for text in bar.texts):
            return texts
        parts = sorted(self.parts[bar.id])
        name, _, _ = texts[0].text.rpartition(" (")
        count = f"({parts.index((number, bar.x0_mm)) + 1}/{len(parts)})"
        return (replace(texts[0], text=f"{name} {count}"), *texts[1:])

    def _entry(self, id: str, text: Text, number: int) -> Text:
        if text.text == CONTINUED:
            others = [str(sheet) for sheet in dict.fromkeys(sheet for sheet, _ in self.parts[id]) if sheet != number]
            few = others if len(others) <= MOST_NAMED else [*others[: MOST_NAMED - 1], "…"]
            where = f"sheet{'s' if len(others) > 1 else ''} {', '.join(few)}" if others else "this sheet"
            return replace(text, text=f"also on {where}")
        segment, found, _ = text.text.partition(f" {REFERENCE}")
        if not found:
            return text
        place = self.ends.get(segment) or self.starts.get(segment)
        return replace(text, text=f"{segment} {self._words('from', place)}", leads_to=place)

    def _written(self, text: Text, ways: Mapping[str, Way], wire: PlacedWire) -> Text:
        if text.text not in ways:
            return text
        word, place = ways[text.text](wire)
        return replace(text, text=self._words(word, place), leads_to=place)

    def _end(self, wire: PlacedWire) -> tuple[str, Target | None]:
        """A stub names the column that has the devices; that column names the stub, or else the station itself."""
        place = self.ends.get(wire.id) if wire.continued else self.stubs.get(wire.id)
        word = "to" if (wire.id in self.inward) == wire.continued else "from"
        if wire.continued and place is None and wire.id in self.starts:
            place, word = self.starts[wire.id], "to"
        return word, place or self.stations.get(self.far.get(wire.id, ""))

    def _start(self, wire: PlacedWire) -> tuple[str, Target | None]:
        """Where the stub stands at the station from which a column comes, or else that station."""
        return "from", self.stubs.get(wire.id) or self.stations.get(self.sources.get(wire.id, ""))
