"""One mapping of a spec becomes one record, or problems with their places."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, TypeVar

from rigline.errors import Problem, nearest
from rigline.kinds import KINDS, Component
from rigline.spec.fields import keys_of
from rigline.spec.reading import Mark, Tree
from rigline.spec.schema import component_adapter, record_adapter

T = TypeVar("T")
Path = tuple[str | int, ...]
UNKNOWN = "unknown"
"""The word for a fact that nobody has."""


@dataclass
class Collector:
    """Gathers every problem of one spec, with file, line and column."""

    tree: Tree
    problems: list[Problem] = field(default_factory=list)

    def add(self, path: Path, where: str, message: str, *, got: str = "", remedy: str = "", key: bool = False) -> None:
        """Note a problem at the value (or the key) that a path leads to."""
        mark = self._mark(path, key)
        self.problems.append(
            Problem(self.tree.name, mark.line, mark.column, where, message, got=got, remedy=remedy)
        )

    def _mark(self, path: Path, key: bool) -> Mark:
        if key and path in self.tree.key_marks:
            return self.tree.key_marks[path]
        return self.tree.mark_of(path)


def read_record(data: object, record: type[T], path: Path, where: str, collector: Collector, **extra: Any) -> T | None:
    """A record from a mapping; None if it has problems, which are then in the collector."""
    fields = _fields_of(data, record, path, where, collector)
    if fields is None:
        return None
    return record(**fields, **extra)


def read_component(data: object, id: str, path: Path, collector: Collector) -> Component | None:
    """A component from a mapping, by its kind."""
    if not isinstance(data, dict):
        collector.add(path, id, "give the component's fields, as in {kind: fuse, rating: 30 A}", got=_shown(data))
        return None
    kind = data.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        _refuse_kind(kind, id, path, collector)
        return None
    fields = _fields_of(data, KINDS[kind], path, id, collector, kinds=frozenset({kind}))
    return None if fields is None else KINDS[kind](id=id, **fields)


def _refuse_kind(kind: object, id: str, path: Path, collector: Collector) -> None:
    if kind is None:
        collector.add(path, id, "say what kind of component it is, as in kind: fuse")
        return
    near = nearest(str(kind), KINDS)
    remedy = f"did you mean {near}?" if near else f"kinds are {', '.join(sorted(KINDS))}"
    collector.add((*path, "kind"), f"{id} kind", "no such kind of component", got=_shown(kind), remedy=remedy)


def _fields_of(
    data: object, record: type, path: Path, where: str, collector: Collector, kinds: frozenset[str] | None = None
) -> dict[str, Any] | None:
    from pydantic import ValidationError

    if not isinstance(data, dict):
        collector.add(path, where, "give keys and values, as in {key: value}", got=_shown(data))
        return None
    known = {key: value for key, value in data.items() if value != UNKNOWN or key not in keys_of(record)}
    unknown = frozenset(str(key) for key in data if key not in known)
    adapter = component_adapter(kinds) if kinds else record_adapter(record)
    try:
        pairs = adapter.validate_python(known)
    except ValidationError as error:
        for detail in error.errors(include_url=False, include_input=False):
            _translate(dict(detail), record, path, where, collector, skip=len(kinds) if kinds else 0)
        return None
    fields = dict(pair for key, pair in pairs.items() if key != "kind")
    return {**fields, "unknown": unknown} if "unknown" in _field_names(record) else fields


def _field_names(record: type) -> frozenset[str]:
    import dataclasses

    return frozenset(field.name for field in dataclasses.fields(record))


def _translate(
    detail: dict[str, Any], record: type, path: Path, where: str, collector: Collector, skip: int
) -> None:
    """Pydantic's error in our own words: its type and place are stable, its wording is not."""
    loc = tuple(part for part in detail["loc"][1 if skip else 0 :])
    spot = " ".join([where, *(str(part) for part in loc)])
    if detail["type"] == "extra_forbidden":
        _unknown_key(loc, record, path, where, collector)
    elif detail["type"] == "rigline":
        context = detail["ctx"]
        collector.add((*path, *loc), spot, context["text"], got=context["got"])
    elif detail["type"] == "dict_type":
        collector.add((*path, *loc), spot, "give keys and values, as in {key: value}")
    else:
        collector.add((*path, *loc), spot, "this value can't be read")


def _unknown_key(loc: Path, record: type, path: Path, where: str, collector: Collector) -> None:
    owner = _nested_record(record, loc[:-1])
    keys = [*keys_of(owner), *(["kind"] if issubclass(owner, Component) else [])]
    key = str(loc[-1])
    near = nearest(key, keys)
    remedy = f"did you mean {near}?" if near else f"keys here are {', '.join(sorted(keys))}"
    place = " ".join([where, *(str(part) for part in loc[:-1])])
    collector.add((*path, *loc), place, f"there is no key {key} here", remedy=remedy, key=True)


def _nested_record(record: type, loc: Path) -> type:
    for part in loc:
        for form in keys_of(record).get(str(part), ()):
            if form.record is not None:
                record = form.record
    return record


def _shown(value: object) -> str:
    if value is None:
        return "nothing"
    return "a mapping" if isinstance(value, dict) else "a list" if isinstance(value, list) else str(value)
