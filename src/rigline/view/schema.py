"""The form of a spec as JSON Schema, for the editor's completion and hover (JSON Schema 2020-12)."""

from __future__ import annotations

from functools import cache
from typing import Any

from rigline.kinds import KINDS, Component
from rigline.outputs.reference_docs import first_line, form_of, meaning_of
from rigline.spec.document import Conditions, Defaults, Head, Place, Revision, RunSpec, Supply, Waiver
from rigline.spec.fields import FieldForm, keys_of

Schema = dict[str, Any]


@cache
def spec_schema() -> Schema:
    """The schema of a whole spec; a component's keys depend on its kind."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "type": "object",
        "properties": {
            **_properties(Head),
            "conditions": _record(Conditions),
            "defaults": _record(Defaults),
            "supply": _record(Supply),
            "places": {"type": "object", "additionalProperties": _record(Place)},
            "components": {"type": "object", "additionalProperties": _component()},
            "runs": _list(RunSpec),
            "waivers": _list(Waiver),
            "revisions": _list(Revision),
            "parts": {"type": "array", "items": {"type": "string"}, "description": "Parts files beside the spec."},
        },
    }


def _component() -> Schema:
    kinds = {"oneOf": [{"const": kind, "description": first_line(KINDS[kind])} for kind in sorted(KINDS)]}
    by_kind = [
        {"if": {"properties": {"kind": {"const": kind}}}, "then": {"properties": _properties(KINDS[kind])}}
        for kind in sorted(KINDS)
    ]
    part = {"type": "string", "description": "Name of a record in a parts file."}
    own = {"kind": {**kinds, "description": "What it is."}, "part": part, **_properties(Component)}
    return {"type": "object", "properties": own, "allOf": by_kind}


def _list(record: type) -> Schema:
    return {"type": "array", "items": _record(record)}


def _record(record: type) -> Schema:
    return {"type": "object", "description": first_line(record), "properties": _properties(record)}


def _properties(record: type) -> Schema:
    return {key: _value(record, forms) for key, forms in keys_of(record).items()}


def _value(record: type, forms: tuple[FieldForm, ...]) -> Schema:
    form = forms[0]
    found: Schema = {"description": f"{meaning_of(record, form.field)} ({form_of(forms)})".strip()}
    if form.form == "choice":
        found["enum"] = list(form.choices)
    elif form.form == "truth":
        found["enum"] = [True, False]
    elif form.form == "record" and form.record is not None:
        found["properties"] = _properties(form.record)
    return found
