"""The lists of an order as sections of rows, from which text, CSV and Markdown are made alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from msgspec import Struct

from rigline.ordering.components import Group
from rigline.ordering.item import Item, Question, State
from rigline.ordering.order import Order
from rigline.ordering.pieces import TO_MEASURE_M, Piece, slack_frac
from rigline.ordering.wire import M_PER, Purchase, describe, remark
from rigline.study.study import Study
from rigline.unit_system import UnitSystem, is_converted, shown_in, shown_system, system_of
from rigline.units import Amount, format_amount, in_unit

TINNED = ("us-boat", "intl-boat", "uk-inland-boat")
"""Profiles whose wire is bought tinned: bare copper turns green near water. Source: common practice."""


class Row(Struct, frozen=True):
    """One line of a list."""

    count: str
    what: str
    at: tuple[str, ...] = ()
    """What it is for."""
    note: str = ""
    state: State | None = None
    """None where there is nothing to tick off."""


class Section(Struct, frozen=True):
    """A list with its heading."""

    title: str
    about: str
    rows: tuple[Row, ...]


def sections(order: Order) -> tuple[Section, ...]:
    """Every list that has anything in it, in the order in which a person needs them."""
    study = order.study
    tinned = study.profile.name in TINNED
    found = [
        Section("Order first", "These take weeks.", item_rows(order.first)),
        Section("Find out first", "These can't be ordered before you know.", tuple(question_rows(order.questions))),
        Section("Components", "", tuple(_group(group) for group in order.components)),
        Section("Wire and cable", _about_wire(order), tuple(purchase_row(one, tinned) for one in order.wire)),
        Section("Lugs and rings", "By wire and stud, with spares for spoiled crimps.", item_rows(order.lugs)),
        Section("Lugs and rings not to be bought yet", "", item_rows(order.open_lugs)),
        Section("Other ends, heat shrink, boots", "", item_rows(order.fittings)),
        Section("Fuse holders and spare fuses", _ABOUT_HOLDERS, item_rows(order.fuses)),
        Section("On the way", "", item_rows(order.routing)),
        Section("Cut list", _about_cuts(order), cut_rows(study, order.cuts)),
        Section("Tools", "Only what this build needs.", tuple(Row("", i.what, (), i.note) for i in order.tools)),
        Section("Mass", "", tuple(_mass(order))),
        Section("Price", "", tuple(_price(order))),
    ]
    return tuple(section for section in found if section.rows)


_ABOUT_HOLDERS = "A holder bears the interrupting rating of its fuse, or the fuse's is worth nothing."


def item_rows(items: Iterable[Item]) -> tuple[Row, ...]:
    """Items as rows."""
    return tuple(Row(_count(i.count, i.unit), i.what, i.at, i.note, i.state) for i in items)


def _count(count: float, unit: str) -> str:
    return f"{count:g}" if not unit else f"{count:.1f} {unit}"


def _group(group: Group) -> Row:
    each = " each" if group.item.count > 1 else ""
    words = [format_amount(group.mass_kg, "kg") + each] if group.mass_kg is not None else []
    words += [f"{group.price:g} {group.currency}".rstrip() + each] if group.price is not None else []
    return Row(_count(group.item.count, ""), group.item.what, group.item.at, ", ".join(words), group.item.state)


def question_rows(questions: Iterable[Question]) -> Iterator[Row]:
    """Questions as rows."""
    for one in questions:
        yield Row("?", one.ask[0].upper() + one.ask[1:], one.at, f"until then: no {one.until_then}")


def _about_wire(order: Order) -> str:
    slack = slack_frac(order.study)
    return (
        f"With {slack * 100:g} % slack and spare ends for new crimps, in lengths that are sold. Colours are those of "
        f"profile {order.study.profile.name}, or what the run says."
    )


def purchase_row(one: Purchase, tinned: bool) -> Row:
    """Wire to buy as a row."""
    times = "" if one.from_drum else f"{len(one.rolls)} × "
    count = f"{times}{one.rolls[0]:g} {one.unit}"
    need = one.need_m / M_PER[one.unit]
    note = f"{need:.1f} {one.unit} needed" + (f"; {remark(one.product)}" if remark(one.product) else "")
    return Row(count, describe(one.product, tinned), one.runs, note, one.state)


def _about_cuts(order: Order) -> str:
    slack, short = slack_frac(order.study), format_amount(TO_MEASURE_M, "m")
    return (
        f"Planned length along the route. Above {short} cut {slack * 100:g} % longer; shorter "
        "pieces and battery cables: mount the parts, measure with a rope, cut last."
    )


def _system(study: Study, piece: Piece) -> UnitSystem:
    """The units of a piece: those of its run's lengths, unless others were asked for."""
    if is_converted():
        return shown_system()
    spec = study.system.run(piece.run).spec
    return system_of(length.text for length in spec.lengths_m or (spec.length_m,) if isinstance(length, Amount))


def cut_rows(study: Study, pieces: Iterable[Piece]) -> tuple[Row, ...]:
    """Pieces to cut as rows, each in the units of its run."""
    rows = []
    for piece in pieces:
        with shown_in(_system(study, piece), is_converted()):
            rows.append(_cut(piece))
    return tuple(rows)


def _cut(piece: Piece) -> Row:
    size = "size?" if piece.size is None else f"{piece.size}{'*' if piece.sized else ''}"
    length = "length?" if piece.length_m is None else format_amount(piece.length_m, "m")
    if piece.length_m is None and piece.share_m is not None:
        length = f"about {format_amount(piece.share_m, 'm')}, measure"
    elif piece.cut_m is not None and piece.length_m is not None and piece.cut_m > piece.length_m:
        length += f", cut {format_amount(piece.cut_m, 'm')}"
    if piece.start.landing == "factory":
        length += ", fitted by the maker"
    ends = " to ".join(f"{end.place} ({end.fitting(piece.size, piece.solid)})" for end in piece.ends)
    return Row(f"{piece.count}", f"{piece.id}  {size} {piece.colour}, {length}", (ends,), "", piece.state)


def _mass(order: Order) -> Iterator[Row]:
    mass = order.mass
    yield Row("", f"at least {_kg(mass.known_kg)}: components {_kg(mass.components_kg)}, wire {_kg(mass.wire_kg)}")
    if mass.unknown:
        count = len(mass.unknown)
        note = f"write `mass:` from the label, as in mass: {'22 kg' if shown_system() == 'metric' else '48 lb'}"
        yield Row("", f"not known: {count} component{'' if count == 1 else 's'}", mass.unknown, note)
    if mass.unknown_wire:
        yield Row("", "not known: wire of some runs", mass.unknown_wire)
    yield Row("", "not counted: boxes, trays, lugs, loom, and the sheaths of cables")


def _kg(value: float) -> str:
    return f"{value:.1f} kg" if shown_system() == "metric" else f"{in_unit(value, 'kg', 'lb'):.1f} lb"


def _price(order: Order) -> Iterator[Row]:
    price = order.price
    for currency, total in price.totals:
        yield Row("", f"{total:.2f} {currency}".rstrip() + f" for what has a price ({price.priced} still to be paid)")
    if price.unpriced:
        yield Row("", f"{price.unpriced} component{'' if price.unpriced == 1 else 's'} without a price")
    yield Row("", "wire, terminals and tools have no price here")
