"""What two records of a spec say differently, key by key, in the author's own words.

Values are compared, not texts: 300 mm and 0.3 m are the same length.
"""

from __future__ import annotations

from collections.abc import Set

from msgspec import Struct

from rigline.model.describe import amount
from rigline.spec.fields import FieldForm, keys_of

NOTHING = "not given"
ARROW = "→"


class Difference(Struct, frozen=True):
    """One key of a record whose value changed."""

    key: str
    """As in the spec."""
    old: str
    new: str

    @property
    def text(self) -> str:
        """In a few words, as in rating 30 A → 40 A."""
        return f"{self.key} {turned(self.old, self.new)}"


def turned(old: str, new: str) -> str:
    """An old and a new value in words."""
    return f"{old} {ARROW} {new}"


def differences(old: Struct, new: Struct, without: Set[str] = frozenset()) -> tuple[Difference, ...]:
    """Keys that two records of one kind give differently, in the order of declaration.

    Args:
        old: A component, run, place or section.
        new: Its later state.
        without: Keys that are told elsewhere.
    """
    return tuple(
        Difference(key, _written(old, key, forms) or NOTHING, _written(new, key, forms) or NOTHING)
        for key, forms in keys_of(type(new)).items()
        if key not in without and _value(old, key, forms) != _value(new, key, forms)
    )


def _value(record: Struct, key: str, forms: tuple[FieldForm, ...]) -> object:
    """What is compared: whether the author said that nobody knows it, and the value of each form of the key."""
    return _is_unknown(record, key), *(getattr(record, form.field) for form in forms)


def _is_unknown(record: Struct, key: str) -> bool:
    return key in getattr(record, "unknown", ())


def _written(record: Struct, key: str, forms: tuple[FieldForm, ...]) -> str:
    """The value of a key as its author wrote it; empty if it isn't given."""
    if _is_unknown(record, key):
        return "unknown"
    given = ((getattr(record, form.field), form.suffix) for form in forms)
    return next((_text(value, suffix) for value, suffix in given if value is not None), "")


def _text(value: object, suffix: str) -> str:
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return amount(value, suffix) if suffix else f"{value:g}"
    if isinstance(value, tuple):
        return f"[{', '.join(_text(one, suffix) for one in value)}]"
    if isinstance(value, Struct) and hasattr(value, "unknown"):
        said = ((key, _written(value, key, forms)) for key, forms in keys_of(type(value)).items())
        return "{" + ", ".join(f"{key}: {text}" for key, text in said if text) + "}"
    return str(value)
