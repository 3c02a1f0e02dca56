"""The components to buy, alike ones in one line, with what they weigh and cost as far as the spec says."""

from __future__ import annotations

import re
from collections.abc import Iterable

from msgspec import Struct

from rigline.kinds import Component
from rigline.kinds.devices import InLine
from rigline.kinds.earthing import Chassis, EarthElectrode
from rigline.kinds.loads import Load
from rigline.kinds.sources import Battery, PvArray, VehicleBattery
from rigline.model.describe import CHEMISTRY, amount, ratings
from rigline.ordering.item import Item, State, state_of
from rigline.study.study import Study
from rigline.units import UnitProblem, parse_amount

_CURRENCY = re.compile(r"[A-Z]{3}|[€£$¥]")


class Group(Struct, frozen=True):
    """Components that are the same thing to a shop."""

    item: Item
    mass_kg: float | None
    """Of one."""
    price: float | None
    """Of one; None where the spec has none, or none that can be read."""
    currency: str


def groups(study: Study) -> tuple[Group, ...]:
    """All that is bought as a component, in the order of the spec. A chassis and a vehicle's battery are there."""
    found: dict[tuple[object, ...], list[Component]] = {}
    for part in study.system.components.values():
        if not isinstance(part, Chassis | VehicleBattery):
            words = description(study, part)
            found.setdefault((words, part.mass_kg, part.price, part.part, state_of(part)), []).append(part)
    return tuple(_group(words, parts, state) for (words, _, _, _, state), parts in found.items())  # type: ignore[arg-type]


def description(study: Study, part: Component) -> str:
    """What a shop needs to hear of a component: kind, ratings, and for loads what it is."""
    if isinstance(part, Battery | PvArray):
        return ", ".join(word for word in _one_of(part) if word)
    rating = study.rating_a(part.id)
    chosen = getattr(part, "rating_a", None) is None and rating is not None
    lines = [line for line in ratings(part, rating) if line]
    lines[:1] = [f"{line}*" if chosen else line for line in lines[:1]]
    words = [part.name] if isinstance(part, Load) and part.name else [part.title]
    if isinstance(part, EarthElectrode):
        lines = [part.type or ""]
    voltage = getattr(part, "voltage_v", None) if isinstance(part, InLine) else None
    if voltage is not None:
        lines.append(f"for {voltage:g} V")
    interrupting = getattr(part, "interrupting_a", None)
    if interrupting is not None:
        lines.append(f"interrupts {interrupting / 1000:g} kA")
    return ", ".join(word for word in (*words, *lines) if word)


def _one_of(part: Battery | PvArray) -> tuple[str, ...]:
    """One block of a bank or one module of an array: a shop sells them one by one."""
    if isinstance(part, PvArray):
        voc = f"Voc {amount(part.voc_v, 'v')}" if part.voc_v else ""
        return "solar module", amount(part.pmax_w, "w"), voc
    charge = amount(part.capacity_ah, "ah") or amount(part.capacity_wh, "wh")
    return "battery", CHEMISTRY.get(part.chemistry or "", ""), amount(part.voltage_v, "v"), charge


def pieces_in(part: Component) -> int:
    """How many things a component of the spec is in a shop: the blocks of a bank, the modules of an array."""
    if isinstance(part, Battery | PvArray):
        return part.series * part.parallel
    if isinstance(part, Load | EarthElectrode):
        return part.count
    return 1


def _group(words: str, parts: list[Component], state: State) -> Group:
    amount, currency = price_of(parts[0].price)
    item = Item(words, sum(pieces_in(part) for part in parts), "", tuple(part.id for part in parts), state)
    return Group(item, parts[0].mass_kg, amount, currency)


def price_of(text: str | None) -> tuple[float | None, str]:
    """Amount and currency of a price as written.

    >>> price_of("120 EUR"), price_of("$ 99.50"), price_of("a lot")
    ((120.0, 'EUR'), (99.5, '$'), (None, ''))
    """
    if text is None:
        return None, ""
    try:
        amount = float(parse_amount(text, "price"))
    except UnitProblem:
        return None, ""
    found = _CURRENCY.search(text)
    return amount, found[0] if found else ""


class Price(Struct, frozen=True):
    """What the priced components cost, by currency."""

    totals: tuple[tuple[str, float], ...]
    priced: int
    unpriced: int
    """Components without a price; wire and fittings have none at all."""


def price(all: Iterable[Group]) -> Price:
    """What is still to be paid: the sum of what has a price and is needed, and how many things have none."""
    totals: dict[str, float] = {}
    priced = unpriced = 0
    for group in all:
        if group.item.state == "have":
            continue
        if group.price is None:
            unpriced += int(group.item.count)
        else:
            priced += int(group.item.count)
            totals[group.currency] = totals.get(group.currency, 0.0) + group.price * group.item.count
    return Price(tuple(sorted(totals.items())), priced, unpriced)
