"""One mapping of a spec becomes one record, or problems with their places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

from msgspec import Struct, field
from pydantic_core import ValidationError

from rigline.errors import Problem
from rigline.kinds import KINDS, Component
from rigline.spec.everyday import key_meant, kind_meant
from rigline.spec.fields import field_names, keys_of
from rigline.spec.reading import Tree
from rigline.spec.reading_nodes import nearest_mark
from rigline.spec.schema import record_validator
from rigline.spec.values import UNKNOWN, is_unknown, shown

__all__ = ["UNKNOWN", "Borrowed", "Collector", "Path", "read_component", "read_record"]

T = TypeVar("T")
Path = tuple[str | int, ...]

MOST_KEYS_LISTED = 16
"""A message lists this many keys; more hide the point of the message on a phone."""

ALWAYS_KNOWN = frozenset({"rigline", "id", "path", "carries", "cores", "part", "stage", "return-to"})
"""Keys that the author decides; unknown is no answer to them."""


class Borrowed(Struct, frozen=True):
    """Where a value that a component takes from a parts file really stands."""

    tree: Tree
    part: str


class Collector(Struct):
    """Gathers every problem of one spec, with file, line and column."""

    tree: Tree
    problems: list[Problem] = field(default_factory=list)
    borrowed: dict[Path, Borrowed] = field(default_factory=dict)
    """Path of a component's key -> the parts file it comes from."""

    def add(self, path: Path, where: str, message: str, *, got: str = "", remedy: str = "", key: bool = False) -> None:
        """Note a problem at the value (or the key) that a path leads to."""
        tree, place = self.tree, path
        if borrowed := self.borrowed.get(path[:3]):
            tree, place = borrowed.tree, ("parts", borrowed.part, *path[2:])
            where = where.replace(str(path[1]), f"part {borrowed.part}", 1)
        mark = nearest_mark(tree.key_marks if key else tree.marks, place)
        self.problems.append(Problem(tree.name, mark.line, mark.column, where, message, got=got, remedy=remedy))


def read_record(data: object, record: type[T], path: Path, where: str, collector: Collector, **extra: Any) -> T | None:
    """A record from a mapping; None if it has problems, which are then in the collector."""
    fields = _fields_of(data, record, path, where, collector)
    return None if fields is None else record(**fields, **extra)


def read_component(data: object, id: str, path: Path, collector: Collector) -> Component | None:
    """A component from a mapping, by its kind."""
    if not isinstance(data, dict):
        collector.add(path, id, "give the component's fields, as in {kind: fuse, rating: 30 A}", got=shown(data))
        return None
    kind = data.get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        _refuse_kind(data, id, path, collector)
        return None
    own = {key: value for key, value in data.items() if key != "kind"}
    fields = _fields_of(own, KINDS[kind], path, id, collector)
    return None if fields is None else KINDS[kind](id=id, **fields)


def _refuse_kind(data: Mapping[str, object], id: str, path: Path, collector: Collector) -> None:
    kind = data.get("kind")
    if kind is None:
        slip = next((key for key in data if key != "kind" and key_meant(key, ["kind"]) == "kind"), None)
        remedy = f"write kind instead of {slip}" if slip else ""
        collector.add(path, id, "say what kind of component it is, as in kind: fuse", remedy=remedy, key=True)
        return
    meant = kind_meant(shown(kind), sorted(KINDS))
    remedy = f"did you mean {meant}?" if meant else f"kinds are {', '.join(sorted(KINDS))}"
    collector.add((*path, "kind"), f"{id} kind", "no such kind of component", got=shown(kind), remedy=remedy)


def _fields_of(data: object, record: type, path: Path, where: str, collector: Collector) -> dict[str, Any] | None:
    if not isinstance(data, dict):
        example = "{id: W1, path: [B1, F1]}" if path[:1] == ("runs",) else "{key: value}"
        collector.add(path, where, f"give keys and values, as in {example}", got=shown(data))
        return None
    keys = keys_of(record)
    unknown = frozenset(key for key, value in data.items() if is_unknown(value) and key in keys) - ALWAYS_KNOWN
    try:
        pairs = record_validator(record).validate_python({k: v for k, v in data.items() if k not in unknown})
    except ValidationError as error:
        for detail in error.errors(include_url=False, include_input=False):
            _translate(dict(detail), record, path, where, collector)
        return None
    fields = dict(pairs.values())
    return {**fields, "unknown": unknown} if "unknown" in field_names(record) else fields


def _translate(detail: Mapping[str, Any], record: type, path: Path, where: str, collector: Collector) -> None:
    """Pydantic's error in our own words: its type and place are stable, its wording is not."""
    loc: Path = tuple(detail["loc"])
    spot = " ".join([where, *_words(loc)]).strip()
    if detail["type"] == "extra_forbidden":
        _unknown_key(loc, record, path, where, collector)
    elif detail["type"] == "rigline":
        context = detail["ctx"]
        collector.add((*path, *loc), spot, context["text"], got=context["got"], remedy=context["remedy"])
    else:
        collector.add((*path, *loc), spot, "give keys and values, as in {key: value}")


def _words(loc: Path) -> Iterator[str]:
    """A path in words, list positions from 1."""
    return (str(step + 1) if isinstance(step, int) else step for step in loc)


def _unknown_key(loc: Path, record: type, path: Path, where: str, collector: Collector) -> None:
    owner = _nested_record(record, loc[:-1])
    key = str(loc[-1])
    place = " ".join([where, *_words(loc[:-1])])
    remedy = key_remedy(key, list(keys_of(owner)), owner)
    collector.add((*path, *loc), place, f"there is no key {key} here", remedy=remedy, key=True)


def key_remedy(key: str, keys: list[str], record: type) -> str:
    """What to do about a key that isn't one: the one that is meant, or where the keys are listed."""
    if meant := key_meant(key, keys):
        return f"did you mean {meant}?"
    if len(keys) <= MOST_KEYS_LISTED:
        return f"keys here are {', '.join(sorted(keys))}"
    topic = record.kind if issubclass(record, Component) else "run"
    return f"delete it, or see the keys: rigline explain {topic}"


def _nested_record(record: type, loc: Path) -> type:
    for part in loc:
        for form in keys_of(record).get(str(part), ()):
            if form.record is not None:
                record = form.record
    return record
