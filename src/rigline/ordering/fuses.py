"""Holders for the fuses that have none, and spare fuses."""

from __future__ import annotations

from collections import Counter

from rigline.kinds.devices import Fuse
from rigline.ordering.item import Item, Question, State, merged, state_of
from rigline.study.study import Study

HOLDERS = {
    "class-t": "class T fuse block with cover",
    "anl": "ANL fuse holder with cover",
    "bolt-down": "bolt-down fuse holder with cover",
    "terminal": "terminal fuse block with cover",
    "blade": "in-line blade fuse holder",
    "cartridge": "cartridge fuse holder",
    "gpv": "10 x 38 mm gPV fuse holder",
}
"""Style of a fuse -> what holds it. Source: common practice."""
SPARES = {"blade": 2}
"""Spare fuses of a rating by style; one of any other. Source: common practice."""


def holders(study: Study, in_panels: frozenset[str]) -> list[Item]:
    """A holder for every fuse that does not sit in a fuse block. It must bear the fuse's own interrupting rating."""
    return merged(
        Item(HOLDERS[fuse.style] + (", for a battery post" if fuse.on_post else ""), 1, "", (fuse.id,), state_of(fuse))
        for fuse in _fuses(study)
        if fuse.style is not None and fuse.id not in in_panels
    )


def spares(study: Study) -> list[Item]:
    """Spare fuses by style and rating; whoever has a fuse on the shelf may still lack its spare."""
    found = Counter((fuse.style, rating) for fuse in _fuses(study) if (rating := study.rating_a(fuse.id)) is not None)
    users: dict[tuple[str | None, float], list[str]] = {}
    for fuse in _fuses(study):
        if (rating := study.rating_a(fuse.id)) is not None:
            users.setdefault((fuse.style, rating), []).append(fuse.id)
    state: State = "need"
    return [
        Item(f"spare fuse {rating:g} A {style}", SPARES.get(style, 1), "", tuple(users[style, rating]), state)
        for style, rating in sorted(found, key=lambda key: (key[0] or "", key[1]))
        if style is not None
    ]


def fuse_questions(study: Study) -> list[Question]:
    """Fuses that can't be bought yet: no style, or no rating."""
    no_style = tuple(fuse.id for fuse in _fuses(study) if fuse.style is None)
    no_rating = tuple(
        id for id, rating in sorted(study.sizes.ratings.items()) if rating is None and id in study.system.components
    )
    found = [Question("which style? Write `style:` on the fuse", no_style, "fuse and holder")] if no_style else []
    if no_rating:
        found.append(Question("which rating? It could not be chosen (rigline size says why)", no_rating, "the device"))
    return found


def _fuses(study: Study) -> list[Fuse]:
    return [part for part in study.system.components.values() if isinstance(part, Fuse)]
