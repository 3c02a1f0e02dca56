"""What everything weighs, as far as it is known. What is not known is named: nobody shall take a part for the whole."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from rigline.ordering.components import Group
from rigline.ordering.pieces import Piece
from rigline.ordering.wire import to_cut
from rigline.standards.supplies import cable_kg_per_m


class Mass(Struct, frozen=True):
    """Mass of the components that state theirs, and of the wire that is cut."""

    components_kg: float
    wire_kg: float
    unknown: tuple[str, ...]
    """Components whose mass the spec does not say."""
    unknown_wire: tuple[str, ...]
    """Runs whose wire can't be weighed: no size or length, or not copper."""

    @property
    def known_kg(self) -> float:
        """Everything that is known: the load is at least this."""
        return self.components_kg + self.wire_kg


def mass(groups: Sequence[Group], all: Sequence[Piece]) -> Mass:
    """The mass of all components and wires, whether they are there already or not."""
    known = sum(group.mass_kg * group.item.count for group in groups if group.mass_kg is not None)
    unknown = tuple(id for group in groups if group.mass_kg is None for id in group.item.at)
    wire, silent = 0.0, []
    for piece in to_cut(all):
        if piece.size is None or piece.cut_m is None or piece.material != "copper":
            silent.append(piece.run)
        else:
            # A multicore cable counts as its cores; its sheath is not in the figure.
            wire += cable_kg_per_m(piece.size) * piece.cut_m * piece.count * max(len(piece.cores), 1)
    return Mass(known, wire, unknown, tuple(dict.fromkeys(silent)))
