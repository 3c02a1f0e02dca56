"""What the balance had to assume, and what it could not work out: said beside the result, never silently."""

from __future__ import annotations

from msgspec import Struct


class Assumption(Struct, frozen=True):
    """A fact that the spec does not say, what was taken instead, and what to write."""

    at: tuple[str, ...]
    """Components, or nothing for the whole system."""
    assumed: str
    remedy: str


class Unknown(Struct, frozen=True):
    """A part of the balance that could not be worked out, and what must be known for it."""

    what: str
    at: tuple[str, ...]
    missing: str


class Notes:
    """Gathers both while a balance is made; each is kept once."""

    def __init__(self) -> None:
        self._assumed: dict[tuple[str, str], list[str]] = {}
        self._unknown: dict[tuple[str, str], list[str]] = {}

    def assume(self, at: str, assumed: str, remedy: str) -> None:
        """Note an assumption; those of one wording are told together."""
        _add(self._assumed.setdefault((assumed, remedy), []), at)

    def unknown(self, what: str, at: str, missing: str) -> None:
        """Note what could not be worked out."""
        _add(self._unknown.setdefault((what, missing), []), at)

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """In the order in which they were made."""
        return tuple(Assumption(tuple(at), assumed, remedy) for (assumed, remedy), at in self._assumed.items())

    @property
    def unknowns(self) -> tuple[Unknown, ...]:
        """In the order in which they were met."""
        return tuple(Unknown(what, tuple(at), missing) for (what, missing), at in self._unknown.items())


def _add(places: list[str], at: str) -> None:
    if at and at not in places:
        places.append(at)
