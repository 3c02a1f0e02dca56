"""What saves work in laying out changes nothing: least widths are true, shared rows are what they would be alone."""

from __future__ import annotations

import pytest
from layout.generated import anything, plausible, tree
from layout.systems import SYMBOLS, cabin, camper, tiny, trailer

from rigline.layout.bounds import narrowest
from rigline.layout.forest import Block
from rigline.layout.hubs import with_hubs
from rigline.layout.links import build_forest
from rigline.layout.oneline import OneLine
from rigline.layout.place import STYLES, arranged
from rigline.layout.rows import RowBook, Rows
from rigline.layout.stamps import StampBook, Stamps, lowerable

SYSTEMS = [tiny(), trailer(), camper(), cabin()]
SYSTEMS += [tree(4, 20, seed) for seed in range(2)]
SYSTEMS += [anything(12 + seed, 16 + seed, seed) for seed in range(8)]
SYSTEMS += [plausible(30 + 10 * seed, seed) for seed in range(6)]


@pytest.mark.parametrize("system", SYSTEMS)
def test_no_layout_is_narrower_than_the_least_width_told_before(system: OneLine) -> None:
    for hung in (True, False):
        blocks = build_forest(with_hubs(system), hung).blocks
        variants = _variants(blocks)
        widths = [(narrowest(blocks, stamps), arranged(blocks, stamps).width) for stamps in variants]
        assert [pair for pair in widths if pair[0] > pair[1]] == []
        assert all(least > 0 for least, _ in widths)


@pytest.mark.parametrize("system", SYSTEMS[:8])
def test_rows_of_shared_seats_are_as_high_as_rows_seated_for_one_style(system: OneLine) -> None:
    blocks = build_forest(with_hubs(system), True).blocks
    book = RowBook(blocks)
    variants = [stamps for stamps in _variants(blocks) if not stamps.outside]
    assert [book.rows(s).least_height() for s in variants] == [Rows(blocks, s).least_height() for s in variants]


def _variants(blocks: list[Block]) -> list[Stamps]:
    book = StampBook(SYMBOLS)
    lowered = lowerable([block.root for block in blocks if not block.loose])
    return [
        book.in_style(style).variant(lower, outside)
        for style in STYLES
        for lower in (frozenset(), lowered)
        for outside in (False, True)
    ]
