"""How much wire to buy: by size, colour and kind, with slack and spoilage, in the lengths that are sold."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from msgspec import Struct

from rigline.ordering.item import STATES, State, once
from rigline.ordering.pieces import Piece
from rigline.standards.supplies import is_lug_size, outside_at_most, rolls_of
from rigline.standards.wire import WireSize

SPARE_END_M = 0.15
"""Wire for two new terminals at each end of a run, up to 10 AWG and 6 mm². Source: common practice."""
SPARE_END_LUG_M = 0.25
"""The same where lugs are crimped on. Source: common practice, 0.25 to 0.30 m."""
M_PER = {"m": 1.0, "ft": 0.3048}
"""By definition."""
MARKED_GREEN_MM2 = 21.0
"""From 4 AWG and 25 mm² up, wire of another colour may be marked green at its ends. Source: NEC 250.119(A), from
memory."""


class Product(Struct, frozen=True):
    """One kind of wire or cable, as a shop has it on the shelf."""

    size: WireSize
    colour: str
    cores: tuple[str, ...]
    insulation_c: float
    strand: str
    sunlight: bool
    material: str


class Purchase(Struct, frozen=True):
    """What to buy of one product."""

    product: Product
    state: State
    cut_m: float
    """Sum of the cut list."""
    need_m: float
    """With spare ends for spoiled terminals."""
    rolls: tuple[float, ...]
    """Lengths to buy, each in one piece, in `unit`."""
    unit: str
    runs: tuple[str, ...]
    from_drum: bool

    @property
    def bought_m(self) -> float:
        """Everything bought, in metres."""
        return sum(self.rolls) * M_PER[self.unit]


def product_of(piece: Piece) -> Product | None:
    """What a piece is cut from; None if its size is not known."""
    if piece.size is None:
        return None
    return Product(
        piece.size, piece.colour, piece.cores, piece.insulation_c, piece.strand, piece.sunlight, piece.material
    )


def to_cut(all: Iterable[Piece]) -> tuple[Piece, ...]:
    """The pieces that are cut from bought wire: a maker's lead isn't."""
    return tuple(piece for piece in all if piece.start.landing != "factory")


def purchases(all: Sequence[Piece]) -> tuple[Purchase, ...]:
    """What to buy of every product, thickest first. Pieces without a known size or length are not in it."""
    groups: dict[tuple[Product, State], list[Piece]] = {}
    for piece in to_cut(all):
        product = product_of(piece)
        if product is not None and piece.cut_m is not None:
            groups.setdefault((product, piece.state), []).append(piece)
    found = [_purchase(product, state, group) for (product, state), group in groups.items()]
    return tuple(sorted(found, key=_order))


def _order(one: Purchase) -> tuple[int, int, float, str, str]:
    product = one.product
    return STATES.index(one.state), len(product.cores), -product.size.area_mm2, product.colour, str(product)


def _purchase(product: Product, state: State, group: Sequence[Piece]) -> Purchase:
    how = rolls_of(product.size)
    cuts = [piece.cut_m or 0.0 for piece in group for _ in range(piece.count)]
    spare = SPARE_END_LUG_M if is_lug_size(product.size) else SPARE_END_M
    # A run's conductor has two ends, however often it is cut on its way.
    ways = {(piece.run, piece.pole): piece.count for piece in group}
    need_m = sum(cuts) + 2 * spare * sum(ways.values())
    unit_m = M_PER[how.unit]
    rolls = _rolls(need_m / unit_m, max(cuts) / unit_m, how.lengths, how.from_drum)
    return Purchase(
        product, state, sum(cuts), need_m, rolls, how.unit, once(piece.run for piece in group), how.from_drum
    )


def _rolls(need: float, longest: float, lengths: Sequence[float], from_drum: bool) -> tuple[float, ...]:
    """Lengths to buy: whole units from the drum, else the smallest roll that is enough, or several of the largest."""
    if from_drum or longest > lengths[-1]:
        return (float(math.ceil(need - 1e-9)),)
    one = next((length for length in lengths if length >= need), None)
    if one is not None:
        return (one,)
    # Whatever is left over of a roll is shorter than the longest piece, so this many hold all pieces.
    return (lengths[-1],) * math.ceil(need / (lengths[-1] - min(longest, lengths[-1] / 2)))


def describe(product: Product, tinned: bool = False) -> str:
    """A product in the words of a shop, as in 14 AWG red, 105 °C, stranded."""
    cores = f" {len(product.cores)}-core cable" if product.cores else ""
    words = [f"{product.size}{cores} {product.colour}", f"{product.insulation_c:g} °C", product.strand]
    words[-1] = f"tinned {product.strand}" if tinned and product.material == "copper" else product.strand
    words += ["sunlight resistant"] if product.sunlight else []
    words += [product.material] if product.material != "copper" else []
    return ", ".join(words)


def remark(product: Product) -> str:
    """What to know about a product at the counter; empty if there is nothing."""
    if "green" in product.colour and not product.cores and product.size.area_mm2 >= MARKED_GREEN_MM2:
        return "or black, marked green at both ends"
    return ""


def across_mm(piece: Piece) -> float | None:
    """Outside diameter of a single wire, or of the next thicker one listed; None for cables."""
    return None if piece.size is None or piece.cores else outside_at_most(piece.size)
