"""Everything that a system needs to be built, in one object: the lists for the shop and for the bench."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.sources import Battery
from rigline.ordering.components import Group, Price, description, groups, pieces_in, price
from rigline.ordering.fittings import boots, lugs, open_lugs, plugs, small_fittings, stud_questions, tubes
from rigline.ordering.fuses import fuse_questions, holders, spares
from rigline.ordering.item import Item, Question, once, state_of
from rigline.ordering.mass import Mass, mass
from rigline.ordering.pieces import Piece, pieces, seated
from rigline.ordering.routing import clamps, grommets, labels, looms
from rigline.ordering.tools import needs_hex_crimper, tools
from rigline.ordering.wire import Purchase, purchases, to_cut
from rigline.standards.supplies import lead_time
from rigline.study.study import Study
from rigline.units import format_amount


class Order(Struct, frozen=True):
    """The lists of one system, or of one stage of it."""

    study: Study
    first: tuple[Item, ...]
    """What takes weeks, with the reason."""
    components: tuple[Group, ...]
    wire: tuple[Purchase, ...]
    lugs: tuple[Item, ...]
    """Lugs and rings whose stud is known."""
    open_lugs: tuple[Item, ...]
    """Those whose stud is not known: not to be bought yet."""
    fittings: tuple[Item, ...]
    """Ferrules, splices, plugs, tube, boots."""
    fuses: tuple[Item, ...]
    """Holders and spares."""
    routing: tuple[Item, ...]
    cuts: tuple[Piece, ...]
    """The cut list, in the order of the spec."""
    tools: tuple[Item, ...]
    questions: tuple[Question, ...]
    mass: Mass
    price: Price


def order_of(study: Study) -> Order:
    """What to buy, cut and borrow for a system."""
    all, parts = pieces(study), groups(study)
    tube, thick = tubes(all)
    grommet, holes = grommets(study, all)
    loom, bores = looms(study, all)
    return Order(
        study=study,
        first=tuple(_first(study, all)),
        components=parts,
        wire=purchases(all),
        lugs=tuple(lugs(all)),
        open_lugs=tuple(open_lugs(all)),
        fittings=(*_data(study), *small_fittings(all), *plugs(study, all), *tube, *boots(study, all)),
        fuses=(*holders(study, seated(study)), *spares(study)),
        routing=(*clamps(study, all), *grommet, *loom, *labels(study, all)),
        cuts=all,
        tools=tuple(tools(study, all)),
        questions=(
            *stud_questions(all), *wire_questions(all), *_links(study), *fuse_questions(study), *thick, *bores, *holes,
        ),
        mass=mass(parts, all),
        price=price(parts),
    )  # fmt: skip


def _first(study: Study, all: Sequence[Piece]) -> Iterator[Item]:
    found: dict[tuple[str, str], list[Component]] = {}
    for part in study.system.components.values():
        of = getattr(part, "style", None) or getattr(part, "chemistry", None)
        why = lead_time(part.kind, *((of,) if of else ()))
        if why is not None and state_of(part) == "need":
            found.setdefault((description(study, part), why), []).append(part)
    for (words, why), parts in found.items():
        yield Item(words, sum(pieces_in(part) for part in parts), "", tuple(part.id for part in parts), note=why)
    if needs_hex_crimper(all):
        yield Item("hex crimper with its dies", 1, note="buy, hire or borrow; without it no lug is made")


def _data(study: Study) -> Iterator[Item]:
    """Data cables are bought with their plugs, by length: nothing of them is cut or crimped."""
    for run in study.system.runs:
        if run.carries == "data":
            length = "length not known" if run.length_m is None else f"{format_amount(run.length_m, 'm')} or longer"
            ends = f"{run.stops[0].component} to {run.stops[-1].component}"
            yield Item(f"data cable {ends}, {length}", 1, "", (run.id,), state_of(run.spec), "as the makers say")


def _links(study: Study) -> list[Question]:
    """A bank of several blocks that is one component: the wires between its blocks are in no run."""
    banks = [part for part in study.system.components.values() if isinstance(part, Battery) and pieces_in(part) > 1]
    counted = tuple(
        f"{bank.id} ({bank.parallel * (bank.series - 1)} in series, {2 * (bank.parallel - 1)} in parallel)"
        for bank in banks
    )
    ask = "how long are the links between the blocks of a bank? They are as thick as its main cable, and of one length"
    return [Question(ask, counted, "links between blocks, and no lugs for them")] if counted else []


def wire_questions(all: Sequence[Piece]) -> list[Question]:
    """What must be found out before wire can be bought for some pieces."""
    cut = to_cut(all)
    no_size = once(piece.run for piece in cut if piece.size is None)
    no_length = once(piece.run for piece in cut if piece.size is not None and piece.share_m is None)
    unstated = once(
        f"{end.component} ({piece.run}, {piece.size})"
        for piece in cut for end in piece.ends if end.landing == "unstated"
    )  # fmt: skip
    found = []
    if no_size:
        found.append(Question("which wire size?", no_size, "wire and terminals of these runs"))
    if no_length:
        found.append(Question("how long is the route? Lay a rope along it", no_length, "wire of these runs"))
    if unstated:
        found.append(Question("how does a wire land on it: stud, clamp or lead?", unstated, "what goes on its ends"))
    return found
