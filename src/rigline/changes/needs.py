"""What must be bought for a change: what the new system needs and the old one did not, and what is left over.

A component that is the same thing to a shop is not bought again, wherever it stands. Wire is bought for the pieces that
are new, or longer, shorter or of another product than before, and ends for these and for ends that land on another
stud.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from rigline.changes.differences import differences
from rigline.changes.matching import Matching
from rigline.kinds import Component
from rigline.kinds.earthing import Chassis
from rigline.kinds.sources import VehicleBattery
from rigline.ordering.components import description, pieces_in
from rigline.ordering.ends import End
from rigline.ordering.fittings import boots, lugs, open_lugs, plugs, small_fittings, stud_questions, tubes
from rigline.ordering.fuses import holders, spares
from rigline.ordering.item import Item, Question, merged, state_of
from rigline.ordering.order import wire_questions
from rigline.ordering.pieces import Piece, pieces, seated
from rigline.ordering.routing import clamps, grommets, labels, looms
from rigline.ordering.wire import Purchase, product_of, purchases
from rigline.study.study import Study

LEAST_COUNT = 1e-9
"""A smaller difference between two lengths is rounding."""
NAMED = frozenset({"name", "note", "mass", "price", "have", "ordered", "status", "confirmed", "place", "enclosure",
                   "stage", "rating"})  # fmt: skip
"""Keys that make no other thing of a component; its rating is compared as it holds."""


class Needs(Struct, frozen=True):
    """The order list of a change."""

    study: Study
    """Of the new system."""
    components: tuple[Item, ...]
    wire: tuple[Purchase, ...]
    lugs: tuple[Item, ...]
    open_lugs: tuple[Item, ...]
    """Lugs whose stud is not known: not to be bought yet."""
    fittings: tuple[Item, ...]
    fuses: tuple[Item, ...]
    """Holders and spares."""
    routing: tuple[Item, ...]
    cuts: tuple[Piece, ...]
    """New pieces and those that are not as they were."""
    questions: tuple[Question, ...]
    left_over: tuple[Item, ...]
    """Components that the new system does not need."""


def needs(old: Study, new: Study, ids: Matching) -> Needs:
    """What to buy for a change."""
    wanted, left = _components(old, new, ids)
    before, after = pieces(old), pieces(new)
    pairs = _paired(before, after, ids)
    cuts = tuple(piece for piece, was in pairs if was is None)
    ends = tuple(piece if was is None else _with_new_ends(piece, was, ids) for piece, was in pairs)
    named = [piece for piece, was in pairs if was is None or was.id != piece.id]
    return Needs(
        study=new,
        components=tuple(wanted),
        wire=purchases(cuts),
        lugs=tuple(lugs(ends)),
        open_lugs=tuple(open_lugs(ends)),
        fittings=(*small_fittings(ends), *plugs(new, ends), *tubes(ends)[0], *boots(new, ends)),
        fuses=(*_more(holders(old, seated(old)), holders(new, seated(new))), *_more(spares(old), spares(new))),
        routing=(*_more(_way(old, before), _way(new, after)), *(labels(new, named)[:1] if named else ())),
        cuts=cuts,
        questions=(*stud_questions(ends), *wire_questions(cuts)),
        left_over=tuple(left),
    )


class _Wanted(Struct):
    """How many of one thing a component asks for, or leaves over."""

    what: str
    count: int
    part: Component

    @property
    def item(self) -> Item:
        return Item(self.what, self.count, "", (self.part.id,), state_of(self.part))


def _components(old: Study, new: Study, ids: Matching) -> tuple[list[Item], list[Item]]:
    """What is wanted and what is left over, component by component; then what is left here serves there."""
    before = {part.id: part for part in old.system.components.values() if _is_bought(part)}
    wanted, left = [], []
    for part in filter(_is_bought, new.system.components.values()):
        what, count = description(new, part), pieces_in(part)
        was = before.pop(ids.components.get(part.id, ""), None)
        if was is not None and _is_same(was, part, old, new):
            count -= pieces_in(was)
        elif was is not None:
            left.append(_Wanted(description(old, was), pieces_in(was), was))
        wanted += [_Wanted(what, count, part)] if count > 0 else []
        left += [_Wanted(what, -count, part)] if count < 0 else []
    left += [_Wanted(description(old, part), pieces_in(part), part) for part in before.values()]
    _balance(wanted, left)
    return [merged(one.item for one in some if one.count) for some in (wanted, left)]  # type: ignore[return-value]


def _is_bought(part: Component) -> bool:
    return not isinstance(part, Chassis | VehicleBattery)


def _is_same(old: Component, new: Component, before: Study, after: Study) -> bool:
    """Whether a shop would hand out the same thing for both, whatever their owner calls them."""
    if type(old) is not type(new):
        return False
    rated = before.rating_a(old.id) == after.rating_a(new.id)
    told = description(before, replace(old, name=new.name)), description(after, new)
    return (rated and not differences(old, new, NAMED)) or told[0].replace("*", "") == told[1].replace("*", "")


def _balance(wanted: Sequence[_Wanted], left: Sequence[_Wanted]) -> None:
    """Take what is left over where the same is wanted."""
    for one in wanted:
        for other in left:
            if one.what.replace("*", "") == other.what.replace("*", ""):
                moved = min(one.count, other.count)
                one.count -= moved
                other.count -= moved


def _paired(before: Sequence[Piece], after: Sequence[Piece], ids: Matching) -> list[tuple[Piece, Piece | None]]:
    """Every new piece with the old one of its run and pole that is of the same product and length; None if none is."""
    there: dict[tuple[object, ...], list[Piece]] = defaultdict(list)
    for piece in before:
        there[_sort(piece, ids.now.get(piece.run, ""))].append(piece)
    found: list[tuple[Piece, Piece | None]] = []
    for piece in after:
        same = there[_sort(piece, piece.run)]
        found.append((piece, same.pop(0) if same else None))
    return found


def _sort(piece: Piece, run: str) -> tuple[object, ...]:
    length = None if piece.cut_m is None else round(piece.cut_m, 6)
    return run, piece.pole, product_of(piece), piece.count, length


def _with_new_ends(piece: Piece, was: Piece, ids: Matching) -> Piece:
    """A piece that stays, nothing being asked of those of its ends that stay as well."""
    start, end = (
        replace(now, landing="unstated") if _lands_alike(then, now, ids) else now
        for then, now in zip(was.ends, piece.ends, strict=True)
    )
    return replace(piece, start=start, end=end)


def _lands_alike(old: End, new: End, ids: Matching) -> bool:
    return ids.now.get(old.component) == new.component and (old.landing, old.stud) == (new.landing, new.stud)


def _way(study: Study, all: Sequence[Piece]) -> list[Item]:
    return [*clamps(study, all), *grommets(study, all)[0], *looms(study, all)[0], *labels(study, all)[1:]]


def _more(old: Iterable[Item], new: Iterable[Item]) -> list[Item]:
    """What there is more of in the new list, for whom it is new there; first what is in the same state is matched."""
    rest = list(old)
    left = list(new)
    for alike in (_is_alike_and_as_far, _is_alike):
        for index, item in enumerate(left):
            for place, other in enumerate(rest):
                if alike(item, other):
                    there = min(item.count, other.count)
                    new_to = tuple(at for at in item.at if at not in other.at)
                    left[index] = item = replace(item, count=item.count - there, at=new_to or item.at)
                    rest[place] = replace(other, count=other.count - there)
    return [item for item in left if item.count > LEAST_COUNT]


def _is_alike(one: Item, other: Item) -> bool:
    return (one.what, one.unit) == (other.what, other.unit)


def _is_alike_and_as_far(one: Item, other: Item) -> bool:
    return _is_alike(one, other) and one.state == other.state
