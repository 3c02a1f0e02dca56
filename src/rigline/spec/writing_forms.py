"""A spec's plain data written as YAML, JSON or TOML: one line for each component and run, as a person writes it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from rigline.errors import CommandError

_PLAIN = re.compile(r"[\w(][\w ./%°²+()ΩμÀ-ž-]*")
_PLAIN_KEY = re.compile(r"[A-Za-z0-9_-]+")
_OTHER_WORDS = frozenset({"true", "false", "null", "yes", "no", "on", "off", "y", "n"})
"""Words that some YAML reader takes for something else than text."""
BY_ID: Final = ("components", "places")
"""Sections that are mappings of records."""
MULTILINE: Final = ("runs", "waivers", "revisions")
"""Sections that are lists of records."""


def as_yaml(data: Mapping[str, Any]) -> str:
    """The data as YAML, records in braces."""
    return "".join(_yaml_section(key, value) for key, value in data.items())


def as_json(data: Mapping[str, Any]) -> str:
    """The data as JSON, each component and run on a line of its own."""
    parts = [f"  {json.dumps(key, ensure_ascii=False)}: {_json_section(key, value)}" for key, value in data.items()]
    return "{\n" + ",\n".join(parts) + "\n}\n"


def as_toml(data: Mapping[str, Any]) -> str:
    """The data as TOML 1.0. It has no word for null, so empty sections are left out.

    Raises:
        CommandError: A key within a record is null.
    """
    top = {key: value for key, value in data.items() if value is not None}
    lines = [f"{_toml_key(key)} = {_toml(value)}" for key, value in top.items() if not _is_table(key, value)]
    for key, value in top.items():
        if _is_table(key, value):
            lines += _toml_table(key, value)
    return "\n".join(lines) + "\n"


def _yaml_section(key: str, value: Any) -> str:
    if key in BY_ID and isinstance(value, dict) and value:
        return f"{key}:\n" + "".join(f"  {_yaml(id)}: {_yaml(fields)}\n" for id, fields in value.items())
    if key in MULTILINE and isinstance(value, list) and value:
        return f"{key}:\n" + "".join(f"  - {_yaml(item)}\n" for item in value)
    return f"{_yaml(key)}: {_yaml(value)}\n"


def _yaml(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_yaml(key)}: {_yaml(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_yaml(item) for item in value) + "]"
    if value is None or isinstance(value, bool):
        return json.dumps(value)
    text = str(value)
    if _PLAIN.fullmatch(text) and text.casefold() not in _OTHER_WORDS and text == text.strip():
        return text
    return json.dumps(text, ensure_ascii=False)


def _json_section(key: str, value: Any) -> str:
    if key in BY_ID and isinstance(value, dict) and value:
        items = [f"    {json.dumps(id, ensure_ascii=False)}: {_json(fields)}" for id, fields in value.items()]
        return "{\n" + ",\n".join(items) + "\n  }"
    if key in MULTILINE and isinstance(value, list) and value:
        return "[\n" + ",\n".join(f"    {_json(item)}" for item in value) + "\n  ]"
    return _json(value)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


def _is_table(key: str, value: Any) -> bool:
    return (key in BY_ID and isinstance(value, dict)) or (key in MULTILINE and isinstance(value, list) and bool(value))


def _toml_table(key: str, value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        yield f"\n[{key}]"
        yield from (f"{_toml_key(id)} = {_toml({} if fields is None else fields)}" for id, fields in value.items())
        return
    for record in value:
        yield f"\n[[{key}]]"
        yield from (f"{_toml_key(name)} = {_toml(item)}" for name, item in record.items())


def _toml(value: Any) -> str:
    if value is None:
        raise CommandError("TOML has no word for null; write unknown in the spec, or delete the key")
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_toml_key(key)} = {_toml(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, bool | str) else str(value)


def _toml_key(key: str) -> str:
    return key if _PLAIN_KEY.fullmatch(key) else json.dumps(key, ensure_ascii=False)


WRITERS: Final[Mapping[str, Callable[[Mapping[str, Any]], str]]] = {
    "yaml": as_yaml, "json": as_json, "toml": as_toml
}  # fmt: skip
"""Syntax -> its writer."""
