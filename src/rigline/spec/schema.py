"""The form of a spec as pydantic schemas, built from the records' declarations.

Components are told apart by `kind`; unknown keys are refused. The core schemas are built by hand because a spec is
read on every command: the same models built through annotations took 14 ms a kind, and these take 0.3 ms.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from pydantic import GetCoreSchemaHandler, TypeAdapter
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from rigline.kinds import KINDS
from rigline.spec.fields import FieldForm, keys_of
from rigline.standards.wire import WireSizeProblem, parse_wire_size
from rigline.units import UnitProblem, parse_amount

LONGEST_TEXT_CHARACTERS = 300
"""More than any name or note needs; a longer one does not fit a drawing."""
MOST_OF_ONE = 10_000
"""Largest count (of modules, ways, conductors) that is taken for meant."""

Value = tuple[str, object]


class Record:
    """Marks a type as a record of a spec: its schema comes from its declaration."""

    def __init__(self, record: type) -> None:
        self.record = record

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        """The record's schema, for pydantic."""
        return record_schema(self.record)


class ComponentOfKinds:
    """Marks a component: a union of the given kinds, told apart by `kind`."""

    def __init__(self, kinds: frozenset[str]) -> None:
        self.kinds = kinds

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        """The union's schema, for pydantic."""
        choices = {kind: record_schema(KINDS[kind], tag=kind) for kind in sorted(self.kinds)}
        return core_schema.tagged_union_schema(choices, discriminator="kind")


@cache
def record_adapter(record: type) -> TypeAdapter[Any]:
    """Validates one record: a mapping of spec keys to values becomes record fields and values."""
    from typing import Annotated

    return TypeAdapter(Annotated[dict[str, Any], Record(record)])


@cache
def component_adapter(kinds: frozenset[str]) -> TypeAdapter[Any]:
    """Validates a component of one of the kinds."""
    from typing import Annotated

    return TypeAdapter(Annotated[dict[str, Any], ComponentOfKinds(kinds)])


def record_schema(record: type, tag: str = "") -> CoreSchema:
    """Schema of a record: each key with a validator that yields the record's field and its value."""
    fields = {
        key: core_schema.typed_dict_field(_schema_of(forms), required=False) for key, forms in keys_of(record).items()
    }
    if tag:
        fields["kind"] = core_schema.typed_dict_field(core_schema.literal_schema([tag]), required=True)
    return core_schema.typed_dict_schema(fields, extra_behavior="forbid")


def _schema_of(forms: tuple[FieldForm, ...]) -> CoreSchema:
    if len(forms) == 1 and forms[0].form == "record":
        return _nested(forms[0])
    return core_schema.no_info_plain_validator_function(_reader(forms))


def _nested(form: FieldForm) -> CoreSchema:
    assert form.record is not None
    record = form.record

    def finish(fields: dict[str, Value]) -> Value:
        return form.field, record(**dict(fields.values()))

    schema = core_schema.no_info_after_validator_function(finish, record_schema(record))
    if not form.truth_too:
        return schema

    def truth_or_record(value: object, inner: Callable[[object], object]) -> object:
        return (form.field, value) if isinstance(value, bool) else inner(value)

    return core_schema.no_info_wrap_validator_function(truth_or_record, schema)


def _reader(forms: tuple[FieldForm, ...]) -> Callable[[object], Value]:
    if len(forms) == 1:
        read = _READERS[forms[0].form]
        return lambda value: (forms[0].field, read(value, forms[0]))
    return lambda value: _by_unit(value, forms)


def _by_unit(value: object, forms: tuple[FieldForm, ...]) -> Value:
    """Fields that share a key are told apart by the unit that was written."""
    wishes = []
    for form in forms:
        try:
            return form.field, parse_amount(value, form.suffix)
        except UnitProblem as problem:
            wishes.append(str(problem))
    raise _refusal(" or ".join(wishes), value)


def _refusal(message: str, value: object) -> PydanticCustomError:
    # Braces would be read as places for the context's values.
    return PydanticCustomError("rigline", "{text}", {"text": message, "got": _shown(value)})


def _shown(value: object) -> str:
    return "a mapping" if isinstance(value, dict) else "a list" if isinstance(value, list) else str(value)


def _amount(value: object, form: FieldForm) -> object:
    try:
        return parse_amount(value, form.suffix)
    except UnitProblem as problem:
        raise _refusal(str(problem), value) from None


def _amounts(value: object, form: FieldForm) -> object:
    if not isinstance(value, list):
        raise _refusal("give a list, one for each stretch of the path, as in [150 mm, 1.2 m]", value)
    return tuple(None if item == "unknown" else _amount(item, form) for item in value)


def _number(value: object, form: FieldForm) -> object:
    try:
        number = float(value) if isinstance(value, str | int | float) and not isinstance(value, bool) else -1.0
    except ValueError:
        number = -1.0
    if not 0 <= number <= MOST_OF_ONE:
        raise _refusal("give a plain number", value)
    return number


def _count(value: object, form: FieldForm) -> object:
    text = str(value).strip()
    if isinstance(value, bool) or not text.isascii() or not text.isdigit() or len(text) > 8:
        raise _refusal("give a whole number", value)
    number = int(text)
    if not 1 <= number <= MOST_OF_ONE:
        raise _refusal(f"give a whole number from 1 to {MOST_OF_ONE}", value)
    return number


def _text(value: object, form: FieldForm) -> object:
    if value is None or isinstance(value, dict | list | bool):
        raise _refusal("give a text", "nothing" if value is None else str(value).lower())
    text = " ".join("".join(char if char.isprintable() else " " for char in str(value)).split())
    if not text:
        raise _refusal("give a text", "nothing")
    if len(text) > LONGEST_TEXT_CHARACTERS:
        raise _refusal(f"give at most {LONGEST_TEXT_CHARACTERS} characters", f"{len(text)} characters")
    return text


def _truth(value: object, form: FieldForm) -> object:
    if not isinstance(value, bool):
        raise _refusal("say true or false", value)
    return value


def _choice(value: object, form: FieldForm) -> object:
    text = str(value).strip()
    found = {choice.casefold(): choice for choice in form.choices}.get(text.casefold())
    if found is None:
        from rigline.errors import nearest

        near = nearest(text, form.choices)
        hint = f" (did you mean {near}?)" if near else ""
        raise _refusal(f"say one of {', '.join(form.choices)}{hint}", value)
    return found


def _wire(value: object, form: FieldForm) -> object:
    try:
        return parse_wire_size(str(value))
    except WireSizeProblem as problem:
        raise _refusal(str(problem), value) from None


def _texts(value: object, form: FieldForm) -> object:
    items = value if isinstance(value, list) else [value]
    return tuple(_text(item, form) for item in items)


_READERS: dict[str, Callable[[object, FieldForm], object]] = {
    "amount": _amount,
    "amounts": _amounts,
    "number": _number,
    "count": _count,
    "text": _text,
    "truth": _truth,
    "choice": _choice,
    "wire": _wire,
    "texts": _texts,
}
