"""The spec's form as JSON Schema (2020-12), so that an editor completes keys, explains them and marks slips.

Made from the same declarations as the reader and the reference page; nothing is written down twice.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping

from rigline.kinds import KINDS, Component
from rigline.outputs.reference_docs import first_line, meaning_of
from rigline.outputs.schema_forms import (
    Schema,
    examples_of,
    plain_schemas,
    quantity_schemas,
    ref,
    unit_of,
    value_schema,
)
from rigline.spec.document import Conditions, Defaults, Head, Place, Revision, RunSpec, Supply, Waiver
from rigline.spec.fields import FieldForm, keys_of
from rigline.spec.limits import LONGEST_ID_CHARACTERS, MOST_COMPONENTS
from rigline.spec.load import FORMAT, MONTHS_OF_YEAR
from rigline.spec.records import ALWAYS_KNOWN

META_SCHEMA = "https://json-schema.org/draft/2020-12/schema"
EVERY_KIND = "every-kind"
_ID = {"type": "string", "pattern": r"^[^\s.+\-_/]([^\s.+]*[^\s.+\-/])?$", "maxLength": LONGEST_ID_CHARACTERS}
_SECTIONS: Mapping[str, tuple[type, str]] = {
    "conditions": (Conditions, "Air, sun and seasons that the whole system lives in."),
    "defaults": (Defaults, "What holds for every run that does not say otherwise."),
    "supply": (Supply, "How the shore or grid supply is earthed."),
}
_LISTS: Mapping[str, tuple[type, str, tuple[str, ...]]] = {
    "runs": (RunSpec, "Circuits from component to component.", ("path",)),
    "waivers": (Waiver, "Findings that the author accepts, with the reason.", ("rule", "at", "reason")),
    "revisions": (Revision, "What each revision changed.", ("revision", "date", "change")),
}


def spec_schema_text() -> str:
    """The schema as a file, always the same bytes."""
    return json.dumps(spec_schema(), ensure_ascii=False, indent=0, separators=(",", ":")) + "\n"


def spec_schema() -> Schema:
    """JSON Schema of a whole spec."""
    definitions: dict[str, Schema] = {**plain_schemas(), **quantity_schemas(), EVERY_KIND: _record(Component)}
    definitions |= {f"kind-{kind}": _kind(KINDS[kind]) for kind in sorted(KINDS)}
    definitions["component"] = _component()
    for key, (record, _, required) in _LISTS.items():
        definitions[key.removesuffix("s")] = _record(record, required)
    definitions["place"] = _record(Place)
    return {
        "$schema": META_SCHEMA,
        "$id": "urn:rigline:spec:1",
        "title": "Rigline spec",
        "description": "A small electrical system as a list of components and of the runs of wire that join them.",
        "type": "object",
        "required": ["rigline", "profile", "components"],
        "additionalProperties": False,
        "properties": _top(),
        "$defs": definitions,
    }


def _top() -> dict[str, Schema]:
    head = _properties(Head, keys_of(Head))
    head["rigline"] = {"enum": [FORMAT, str(FORMAT)], "description": f"Version of the format: {FORMAT}."}
    head["profile"] = {"description": "Set of rules that applies.", **value_schema(keys_of(Head)["profile"], {})}
    sections = {key: {"description": text, **_nullable(_record(record))} for key, (record, text) in _SECTIONS.items()}
    lists = {
        key: {"description": text, "type": ["array", "null"], "items": ref(key.removesuffix("s")),
              "maxItems": MOST_COMPONENTS}
        for key, (_, text, _) in _LISTS.items()
    }  # fmt: skip
    return {
        **head, **sections,
        "places": {
            "description": "Compartments and zones by name.", "type": ["object", "null"],
            "additionalProperties": {"anyOf": [ref("place"), {"type": "null"}]},
        },
        "parts": {
            "description": "The author's own parts files, in the spec's folder.", "type": ["array", "null"],
            "items": {"type": "string"},
        },
        "components": {
            "description": "Everything that wires land on, by id.", "type": "object", "minProperties": 1,
            "maxProperties": MOST_COMPONENTS, "propertyNames": _ID, "additionalProperties": ref("component"),
        },
        **lists,
    }  # fmt: skip


def _nullable(record: Schema) -> Schema:
    return {**record, "type": ["object", "null"]}


def _component() -> Schema:
    """Any component: its kind says which keys it takes; a part of a parts file may say the kind."""
    kinds = sorted(KINDS)
    described = [{"const": kind, "description": first_line(KINDS[kind])} for kind in kinds]
    choices = [
        {"if": {"required": ["kind"], "properties": {"kind": {"const": kind}}}, "then": ref(f"kind-{kind}")}
        for kind in kinds
    ]
    return {
        "type": "object",
        "anyOf": [{"required": ["kind"]}, {"required": ["part"]}],
        "properties": {"kind": {"description": "What kind of component it is.", "oneOf": described}},
        "allOf": choices,
    }


def _kind(record: type[Component]) -> Schema:
    common = set(keys_of(Component))
    own = {key: forms for key, forms in keys_of(record).items() if key not in common}
    shared = {key: ref(f"{EVERY_KIND}/properties/{key}") for key in keys_of(Component)}
    return {
        "title": record.kind,
        "description": first_line(record),
        "type": "object",
        "additionalProperties": False,
        "properties": {"kind": {"const": record.kind}, **_properties(record, own), **shared},
    }


def _record(record: type, required: Iterable[str] = ()) -> Schema:
    schema = {
        "description": first_line(record),
        "type": "object",
        "additionalProperties": False,
        "properties": _properties(record, keys_of(record)),
    }
    return {**schema, "required": list(required)} if required else schema


def _properties(record: type, keys: Mapping[str, tuple[FieldForm, ...]]) -> dict[str, Schema]:
    return {key: _property(record, key, forms) for key, forms in keys.items()}


def _property(record: type, key: str, forms: tuple[FieldForm, ...]) -> Schema:
    """A key's value with its meaning, unit and examples; what nobody knows is always an answer but to a few keys."""
    nested = {form.record: _record(form.record) for form in forms if form.record is not None}
    value = value_schema(forms, nested)
    unit, examples = unit_of(forms), examples_of(forms)
    meaning = meaning_of(record, forms[0].field)
    described: Schema = {"description": f"{meaning} Unit: {unit}.".strip() if unit else meaning}
    if examples:
        described["examples"] = [[example] for example in examples] if forms[0].form == "amounts" else examples
    if forms[0].form == "amounts" and key == "sun":
        value["anyOf"][0] |= {"minItems": MONTHS_OF_YEAR, "maxItems": MONTHS_OF_YEAR}
    if key == "path":
        value = {"type": "array", "items": ref("text"), "minItems": 2}
        described["examples"] = [["B1", "F1", "BUS1"]]
    return {**described, **(value if key in ALWAYS_KNOWN else {"anyOf": [value, ref("unknown")]})}
