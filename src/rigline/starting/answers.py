"""What a first spec is made of: the answers to a few questions, each a choice or an amount that the owner can know."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final, Literal

from msgspec import Struct

from rigline.errors import nearest
from rigline.units import Amount, UnitProblem, format_amount, parse_amount

What = Literal["camper", "trailer", "boat", "cabin"]
Region = Literal["america", "elsewhere"]
UNKNOWN: Final = "unknown"
NONE: Final = "none"
LONGEST_NAME_CHARACTERS: Final = 40
"""Longest name of a load; a longer one does not fit beside its symbol."""
MOST_LOADS: Final = 12
"""Loads that are asked for at the start: a common size of fuse block; more are written into the spec."""
LARGEST: Final[Mapping[str, float]] = {"ah": 5_000, "w": 20_000, "a": 200}
"""Beyond these a number is a slip of the pen in a small system: ampere-hours, watts, amperes. Our own choice."""


class Load(Struct, frozen=True):
    """A DC load as the owner named it; its power or current as written, or unknown."""

    name: str
    amount: str = UNKNOWN
    """As in 24 W or 5 A."""


class Answers(Struct, frozen=True, kw_only=True):
    """What the owner said."""

    what: What
    region: Region
    body: Literal["metal", "plastic", "wood"]
    voltage_v: int
    """Nominal voltage of the DC system: 12, 24 or 48."""
    chemistry: Literal["lifepo4", "agm", "gel", "flooded", "unknown"]
    capacity_ah: float | None = None
    """Charge of the bank; None if it is not known yet."""
    sun_w: float | None = None
    """Power of all solar modules; None if there are none."""
    shore_a: float | None = None
    """Rating of the shore inlet (of a cabin's grid or generator inlet); None if there is none."""
    inverter_w: float | None = None
    """Power of the inverter; None if there is none."""
    loads: tuple[Load, ...] = ()


class Unusable(ValueError):
    """An answer that can't be used; the text says why and what would do."""


def chosen(text: str, choices: tuple[str, ...], labels: tuple[str, ...] = ()) -> str:
    """The choice that was typed: its number from 1, its first letters, or a word of its label that no other has.

    Raises:
        Unusable: It is none of them, or begins several.

    Example:
        >>> chosen("2", ("camper", "boat")), chosen("bus", ("camper", "boat"), ("camper (van, bus)", "boat"))
        ('boat', 'camper')
    """
    plain = text.strip().casefold()
    if not plain:
        raise Unusable("nothing was typed; give the number or the word")
    if plain.isascii() and plain.isdigit() and 1 <= int(plain[:9]) <= len(choices):
        return choices[int(plain) - 1]
    if plain.rstrip("v ") in choices or plain in choices:
        return plain if plain in choices else plain.rstrip("v ")
    meant = [choice for choice in choices if choice.startswith(plain)] or [
        choice for choice, label in zip(choices, labels, strict=False)
        if plain in re.findall(r"[\w ]+", label.casefold()) or plain in re.findall(r"\w+", label.casefold())
    ]  # fmt: skip
    if len(meant) == 1:
        return meant[0]
    near = nearest(plain, choices)
    hint = f"; did you mean {near}?" if near else f"; give a number from 1 to {len(choices)}, or the word"
    raise Unusable(f"{text.strip()[:LONGEST_NAME_CHARACTERS]} is none of these{hint}")


def amount_or(text: str, suffix: str, word: str) -> float | None:
    """The amount that was typed, in the suffix's unit; None for the word that says there is none.

    Raises:
        Unusable: It is no such amount, or too large to be meant.

    Example:
        >>> amount_or("1.5 kW", "w", "none"), amount_or("None", "w", "none")
        (1500.0, None)
    """
    plain = text.strip()
    if plain.casefold() in {word, "no" if word == NONE else "?"}:
        return None
    if not plain:
        raise Unusable(f"nothing was typed; give an amount, or {word}")
    try:
        value = float(parse_amount(plain, suffix))
    except UnitProblem as problem:
        raise Unusable(f"{problem}; or {word}") from None
    if value <= 0:
        raise Unusable(f"it can't be zero; say {word}")
    if value > LARGEST[suffix]:
        raise Unusable(f"that is more than {format_amount(LARGEST[suffix], suffix)}; check the number")
    return value


def loads_in(text: str) -> tuple[Load, ...]:
    """The loads in a line like "lights 24 W, fridge 60 W, pump"; none for "none".

    Raises:
        Unusable: One of them has no name, or an amount that is none.

    Example:
        >>> loads_in("Cabin lights 24 W, pump 4,5 A, radio")[1:]
        (Load(name='Pump', amount='4,5 A'), Load(name='Radio', amount='unknown'))
    """
    plain = text.strip()
    if plain.casefold() in (NONE, "no"):
        return ()
    items = [item.strip() for item in re.split(r";|,(?![0-9])", plain) if item.strip()]
    if not items:
        raise Unusable("nothing was typed; name them, as in lights 24 W, fridge 60 W, or say none")
    if len(items) > MOST_LOADS:
        raise Unusable(f"these are {len(items)}; give at most {MOST_LOADS} now, and write the others into the spec")
    return tuple(_load(item) for item in items)


def _load(item: str) -> Load:
    match = re.fullmatch(r"(?P<name>.*?)\s*(?P<amount>[+-]?[0-9][0-9.,]*\s*[^\W\d]*)?", item)
    name, amount = (match["name"].strip(" :="), match["amount"]) if match else (item, None)
    if not any(char.isalpha() for char in name) or not name.isprintable():
        raise Unusable(f"{item[:LONGEST_NAME_CHARACTERS]} has no name; write the name first, as in lights 24 W")
    if len(name) > LONGEST_NAME_CHARACTERS:
        raise Unusable(f"give names of at most {LONGEST_NAME_CHARACTERS} characters")
    name = name[0].upper() + name[1:]
    if name.casefold().endswith(f" {UNKNOWN}") and amount is None:
        return Load(name[: -len(UNKNOWN)].strip())
    if amount is None:
        return Load(name)
    return Load(name, _power_or_current(name, amount.strip()).text)


def _power_or_current(name: str, text: str) -> Amount:
    suffix = "a" if text.casefold().rstrip().endswith(("a", "amp", "amps", "ampere", "amperes")) else "w"
    if text[-1:].isdigit():
        raise Unusable(f"{name} {text}: watts or amperes? write {text} W or {text} A")
    try:
        amount = parse_amount(text, "a" if suffix == "a" and not text.casefold().endswith("va") else "w")
    except UnitProblem as problem:
        raise Unusable(f"{name}: {problem}") from None
    if not 0 < amount <= LARGEST["a" if suffix == "a" and not text.casefold().endswith("va") else "w"]:
        raise Unusable(f"{name} {text}: check the number")
    return amount
