"""One line of a list, and whether it is still to be had."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from msgspec import Struct, structs

from rigline.kinds import Component
from rigline.spec.document import RunSpec

State = Literal["need", "ordered", "have"]
STATES: tuple[State, ...] = ("need", "ordered", "have")


class Item(Struct, frozen=True):
    """Something to buy or to lay ready."""

    what: str
    count: float
    unit: str = ""
    """ft or m; empty for pieces."""
    at: tuple[str, ...] = ()
    """Components, runs or wire ends that it is for."""
    state: State = "need"
    note: str = ""


class Question(Struct, frozen=True):
    """A fact that is missing, so that something can't be ordered yet."""

    ask: str
    at: tuple[str, ...]
    until_then: str
    """What can't be ordered before it is answered."""


def state_of(thing: Component | RunSpec) -> State:
    """Whether the author has a thing, has ordered it, or needs it still."""
    if thing.have or getattr(thing, "status", None) == "existing":
        return "have"
    return "ordered" if thing.ordered else "need"


def once(words: Iterable[str]) -> tuple[str, ...]:
    """Every word once, in the order of first appearance."""
    return tuple(dict.fromkeys(words))


def merged(items: Iterable[Item]) -> list[Item]:
    """Items that are the same thing in one line, in the order of first appearance."""
    found: dict[tuple[str, str, State, str], Item] = {}
    for item in items:
        key = (item.what, item.unit, item.state, item.note)
        before = found.get(key)
        found[key] = item if before is None else structs.replace(
            before, count=before.count + item.count, at=once((*before.at, *item.at))
        )  # fmt: skip
    return list(found.values())
