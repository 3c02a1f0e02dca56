"""How narrow blocks can get in a style, told without laying them out: most styles that are too wide show it here."""

from __future__ import annotations

from msgspec import Struct, field

from rigline.layout.columns import GAP_MM
from rigline.layout.forest import Block, Limb, Node
from rigline.layout.stamps import Stamps

ROUNDING_MM = 0.01
"""What rounding to the grid may take off a row of columns."""


def narrowest(blocks: list[Block], stamps: Stamps) -> float:
    """No layout of the blocks with these stamps is narrower: on each level, columns stand beside each other."""
    levels = _Levels(stamps)
    stack = [(block.root, 1) for block in blocks if not block.loose]
    while stack:
        node, level = stack.pop()
        above, below = (node.up, node.down) if not node.is_bar else (stamps.ups(node), stamps.downs(node))
        if node.zone != "down":
            levels.add_side(node, above, 0)
        if node.zone != "up":
            levels.add_side(node, below, level)
        for limb in node.limbs():
            if limb.tip is not None and limb.depth != "floor":
                at = level if limb in below else 0
                stack.append((limb.tip, at + limb.tip.is_bar))
    return max(levels.widths.values(), default=0.0)


class _Levels(Struct):
    """Adds up what stands side by side on each level."""

    stamps: Stamps
    widths: dict[int, float] = field(default_factory=dict)

    def add_side(self, node: Node, limbs: list[Limb], level: int) -> None:
        """The columns at one side of a bus or a symbol."""
        plain = [limb for limb in limbs if self._is_plain(limb)] if node.is_bar else []
        if plain:
            reaches = [self.stamps.chain_reach(limb) for limb in plain]
            chains = max(left for left, _ in reaches) + max(right for _, right in reaches)
            pitch = max(chains, *(self._tip_width(limb) for limb in plain))
            self._add(level, len(plain) * (pitch + GAP_MM))
        for limb in limbs:
            if limb not in plain and not _goes_on(limb):
                self._add(level, max(sum(self.stamps.chain_reach(limb)), self._tip_width(limb)) + GAP_MM)

    def _add(self, level: int, width: float) -> None:
        self.widths[level] = self.widths.get(level, -GAP_MM - ROUNDING_MM) + width

    def _is_plain(self, limb: Limb) -> bool:
        """One of the columns of a bus that are set at one pitch: nothing but a symbol at its end."""
        tip = limb.tip
        if tip is None or tip.is_bar or limb.base is not None or limb.slot:
            return False
        return limb.depth == "band" and not self.stamps.is_free(limb) and not tip.limbs()

    def _tip_width(self, limb: Limb) -> float:
        if limb.tip is None or limb.tip.is_bar or limb.depth == "floor":
            return 0.0
        stamp = self.stamps.node(limb.tip)
        return stamp.left + stamp.right


def _goes_on(limb: Limb) -> bool:
    """Further columns stand at the outer side of the symbol at its end, in the width of its own one."""
    tip = limb.tip
    if tip is None or tip.is_bar or limb.depth == "floor":
        return False
    return bool(tip.up if tip.zone == "up" else tip.down)
