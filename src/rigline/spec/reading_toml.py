"""TOML is read by the standard library, which keeps no places; a light scan of the text finds the keys again.

Marked are table headers and keys at the start of a line. What stands within an inline table or an array gets the
place of the line's key: near enough to find it, and never a wrong line for a value on one line.
"""

import re
import tomllib
from datetime import date, datetime, time
from typing import Final

from rigline.spec.reading_nodes import Mark, Marks, Node, Pairs, Path, nearest_mark, refusal

_KEY = r"(?:[A-Za-z0-9_-]+|\"(?:[^\"\\\n]|\\.)*+\"|'[^'\n]*')"
_DOTTED = rf"{_KEY}(?:[ \t]*\.[ \t]*{_KEY})*+"
_HEADER: Final = re.compile(rf"[ \t]*(?P<open>\[\[?)[ \t]*(?P<key>{_DOTTED})[ \t]*\]")
_ASSIGNMENT: Final = re.compile(rf"[ \t]*(?P<key>{_DOTTED})[ \t]*=")
_PLACE_IN_MESSAGE: Final = re.compile(r" \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)$")


def read_toml(text: str, name: str) -> Node:
    """The nodes of a TOML 1.0 text; dates and times as text.

    Raises:
        SpecError: Not TOML. The standard parser stops at the first error, repeated keys included.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise refusal(name, _error_mark(text, error), _error_message(error), "look for a missing quote or =") from None
    except (RecursionError, ValueError):
        raise refusal(name, Mark(1, 1), "this isn't TOML that can be read", "write it less deeply nested") from None
    return _node(data, (), scan_marks(text))


def scan_marks(text: str) -> Marks:
    """Places of table headers and of keys at the start of a line."""
    marks = Marks()
    table: Path = ()
    tables_seen: dict[Path, int] = {}
    for number, line in enumerate(text.split("\n"), start=1):
        if header := _HEADER.match(line):
            table = _table_path(_steps(header["key"]), header["open"] == "[[", tables_seen)
            _mark_steps(marks, (), table, Mark(number, header.start("key") + 1))
        elif assignment := _ASSIGNMENT.match(line):
            path = (*table, *_steps(assignment["key"]))
            _mark_steps(marks, table, path, Mark(number, assignment.start("key") + 1))
    return marks


def _table_path(steps: Path, is_array: bool, tables_seen: dict[Path, int]) -> Path:
    """The path of a header's table: the last entry of every array of tables on the way."""
    path: Path = ()
    for position, step in enumerate(steps, start=1):
        path = (*path, step)
        if is_array and position == len(steps):
            tables_seen[path] = tables_seen.get(path, 0) + 1
        if path in tables_seen:
            path = (*path, tables_seen[path] - 1)
    return path


def _mark_steps(marks: Marks, table: Path, path: Path, mark: Mark) -> None:
    for length in range(len(table) + 1, len(path) + 1):
        marks.keys.setdefault(path[:length], mark)
    if path not in marks.values:
        marks.values[path] = mark


def _steps(dotted: str) -> Path:
    return tuple(key.strip("\"'") if key[0] in "\"'" else key for key in re.findall(_KEY, dotted))


def _node(value: object, path: Path, marks: Marks) -> Node:
    mark = nearest_mark(marks.keys, path)
    if isinstance(value, dict):
        pairs = [
            (Node(key, nearest_mark(marks.keys, (*path, key))), _node(item, (*path, key), marks))
            for key, item in value.items()
        ]
        return Node(Pairs(pairs), mark)
    if isinstance(value, list):
        return Node([_node(item, (*path, index), marks) for index, item in enumerate(value)], mark)
    if isinstance(value, datetime | date | time):
        return Node(value.isoformat(), mark)
    assert isinstance(value, str | int | float)
    return Node(value, mark)


def _error_mark(text: str, error: tomllib.TOMLDecodeError) -> Mark:
    place = _PLACE_IN_MESSAGE.search(str(error))
    if place and place["line"]:
        return Mark(int(place["line"]), int(place["column"]))
    return Mark(text.rstrip("\n").count("\n") + 1, 1)


def _error_message(error: tomllib.TOMLDecodeError) -> str:
    wording = _PLACE_IN_MESSAGE.sub("", str(error))
    return f"this isn't TOML: {wording[:1].lower()}{wording[1:]}"
