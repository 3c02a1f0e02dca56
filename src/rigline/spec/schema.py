"""The form of a spec as pydantic schemas, built from the records' declarations.

Unknown keys are refused; every value goes through the one reader of its form. A spec is read on every command, so the
core schemas are built by hand and run by pydantic's core: models built through annotations took 14 ms a kind and
pydantic's own import 70 ms, these take 0.3 ms a kind. `record_adapter` gives the same schemas to pydantic proper.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, partial
from typing import TYPE_CHECKING, Any, TypeVar

from pydantic_core import CoreSchema, PydanticCustomError, SchemaValidator, core_schema

from rigline.kinds import KINDS
from rigline.spec.fields import FieldForm, keys_of
from rigline.spec.values import READERS, Value, ValueProblem, by_unit, require_list

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, TypeAdapter

T = TypeVar("T")


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
def record_validator(record: type) -> SchemaValidator:
    """Validates one record: a mapping of spec keys to values becomes one of keys to record fields with their values."""
    return SchemaValidator(record_schema(record))


@cache
def record_adapter(record: type) -> TypeAdapter[Any]:
    """The same as `record_validator`, as an adapter of pydantic."""
    from typing import Annotated

    from pydantic import TypeAdapter

    return TypeAdapter(Annotated[dict[str, Any], Record(record)])


@cache
def component_adapter(kinds: frozenset[str]) -> TypeAdapter[Any]:
    """Validates a component of one of the kinds, its `kind` included."""
    from typing import Annotated

    from pydantic import TypeAdapter

    return TypeAdapter(Annotated[dict[str, Any], ComponentOfKinds(kinds)])


def record_schema(record: type, tag: str = "") -> CoreSchema:
    """Schema of a record: each key with a validator that yields the record's field and its value."""
    fields = {key: _field_schema(forms) for key, forms in keys_of(record).items()}
    if tag:
        fields["kind"] = core_schema.typed_dict_field(core_schema.literal_schema([tag]), required=True)
    return core_schema.typed_dict_schema(fields, extra_behavior="forbid")


@cache
def _field_schema(forms: tuple[FieldForm, ...]) -> core_schema.TypedDictField:
    """Kept by form: most kinds share most of their fields."""
    return core_schema.typed_dict_field(_schema_of(forms), required=False)


def _schema_of(forms: tuple[FieldForm, ...]) -> CoreSchema:
    form = forms[0]
    if len(forms) > 1:
        return core_schema.no_info_plain_validator_function(_told(partial(by_unit, forms=forms)))
    if form.form == "record":
        return _nested(form)
    if form.form in ("amounts", "texts"):
        return _listed(form)
    read = READERS[form.form]
    return core_schema.no_info_plain_validator_function(_told(lambda value: (form.field, read(value, form))))


def _told(read: Callable[[object], T]) -> Callable[[object], T]:
    """The reader with its problems told as pydantic wants them, so that all are gathered with their places."""

    def told(value: object) -> T:
        try:
            return read(value)
        except ValueProblem as problem:
            # Braces in a template would be read as places for the context, so the texts travel as context.
            context = {"text": str(problem), "got": problem.got, "remedy": problem.remedy}
            raise PydanticCustomError("rigline", "{text}", context) from None

    return told


def _listed(form: FieldForm) -> CoreSchema:
    """A list whose items are each read, so a problem is found at its item."""
    read = READERS["amount or unknown" if form.form == "amounts" else "text"]
    item = core_schema.no_info_plain_validator_function(_told(lambda value: read(value, form)))
    items = core_schema.no_info_before_validator_function(
        _told(partial(require_list, form=form)), core_schema.list_schema(item)
    )
    return core_schema.no_info_after_validator_function(lambda values: (form.field, tuple(values)), items)


def _nested(form: FieldForm) -> CoreSchema:
    assert form.record is not None
    record = form.record

    def finish(fields: dict[str, Value]) -> Value:
        return form.field, record(**dict(fields.values()))

    schema = core_schema.no_info_after_validator_function(finish, record_schema(record))
    if not form.truth_too:
        return schema

    truth = _told(lambda value: (form.field, READERS["truth"](value, form)))

    def truth_or_record(value: object, inner: Callable[[object], object]) -> object:
        return inner(value) if isinstance(value, dict) else truth(value)

    return core_schema.no_info_wrap_validator_function(truth_or_record, schema)
