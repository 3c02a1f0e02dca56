"""From a record's declaration to the keys and values that a spec may hold.

A record is a frozen struct. `max_discharge_a: float | None` is the key `max-discharge`, a current. Two fields
whose names differ in the unit alone (`output_a`, `output_w`) share one key, and the unit that was written decides.
"""

from __future__ import annotations

import inspect
import sys
import types
import typing
from functools import cache

from msgspec import Struct

from rigline.kinds import Component
from rigline.standards.wire import WireSize
from rigline.units import SUFFIXES

_SUFFIXES = sorted(SUFFIXES, key=len, reverse=True)
_INTERNAL = frozenset({"unknown", "mark"})


class FieldForm(Struct, frozen=True):
    """What one field takes: its record field's name and the form of its value."""

    field: str
    form: str
    """amount | amounts | number | count | text | stage | truth | choice | wire | texts | record"""
    suffix: str = ""
    """Unit of an amount."""
    choices: tuple[str, ...] = ()
    record: type | None = None
    truth_too: bool = False
    """Whether true and false are taken as well."""


def split_suffix(name: str) -> tuple[str, str]:
    """A field's name without its unit, and the unit: max_discharge_a is max_discharge in a."""
    for suffix in _SUFFIXES:
        if name.endswith("_" + suffix):
            return name[: -len(suffix) - 1], suffix
    return name, ""


def key_of(name: str, is_amount: bool) -> str:
    """The key that a spec uses for a field."""
    return (split_suffix(name)[0] if is_amount else name).replace("_", "-")


@cache
def keys_of(record: type) -> dict[str, tuple[FieldForm, ...]]:
    """Every key a record takes, with the forms of value it takes there, in the order of declaration."""
    keys: dict[str, tuple[FieldForm, ...]] = {}
    for name in field_names(record):
        if name in _INTERNAL or (name == "id" and issubclass(record, Component)):
            continue
        key, form = _declared(_owner(record, name), name)
        keys[key] = (*keys.get(key, ()), form)
    return keys


def field_names(record: type) -> tuple[str, ...]:
    """Names of a record's fields, in the order of declaration."""
    return tuple(record.__struct_fields__) if issubclass(record, Struct) else tuple(inspect.get_annotations(record))


def _owner(record: type, field: str) -> type:
    """The class that declares a field, whose module gives the annotation its meaning."""
    return next((owner for owner in record.__mro__ if field in vars(owner).get("__annotations__", {})), record)


@cache
def _declared(owner: type, name: str) -> tuple[str, FieldForm]:
    """Key and form of a field; kept by the class that declares it, since most kinds share most of their fields."""
    form = _form(name, _resolved(str(owner.__annotations__[name]), owner.__module__))
    return key_of(name, bool(form.suffix)), form


@cache
def _resolved(annotation: str, module: str) -> object:
    return eval(annotation, vars(sys.modules[module]))  # our own declarations, never a spec's text


def _form(name: str, annotation: object) -> FieldForm:
    options = _options(annotation)
    truth_too = bool in options and len(options) > 1
    wanted = next((option for option in options if option is not bool), bool)
    if wanted is bool:
        return FieldForm(name, "truth")
    if wanted is float:
        suffix = split_suffix(name)[1]
        return FieldForm(name, "amount" if suffix else "number", suffix=suffix, truth_too=truth_too)
    if wanted is int:
        return FieldForm(name, "count")
    if wanted is str:
        return FieldForm(name, "stage" if name == "stage" else "text")
    if wanted is WireSize:
        return FieldForm(name, "wire")
    if typing.get_origin(wanted) is typing.Literal:
        return FieldForm(name, "choice", choices=tuple(str(c) for c in typing.get_args(wanted)))
    if typing.get_origin(wanted) is tuple:
        suffix = split_suffix(name)[1]
        return FieldForm(name, "amounts", suffix=suffix) if suffix else FieldForm(name, "texts")
    assert isinstance(wanted, type), f"{name}: no form for {wanted!r}"
    return FieldForm(name, "record", record=wanted, truth_too=truth_too)


def _options(annotation: object) -> list[object]:
    if typing.get_origin(annotation) in (types.UnionType, typing.Union):
        return [option for option in typing.get_args(annotation) if option is not type(None)]
    return [annotation]
