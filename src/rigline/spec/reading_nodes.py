"""YAML and JSON are first read into the same small nodes, so one walk applies the same rules to both.

A node is what stood in the text and where; it knows nothing of components or units. The walk turns nodes into plain
data with a mark for every key and value, and gathers what must be refused in any syntax: repeated keys, control
characters, depth, and size (a few aliases can stand for billions of values).
"""

import math
from collections.abc import Iterator, Mapping
from itertools import islice
from typing import NamedTuple

from msgspec import Struct, field

from rigline.errors import Problem, SpecError
from rigline.spec.limits import DEEPEST_NESTING, MOST_PROBLEMS, MOST_VALUES

Path = tuple[str | int, ...]
"""Keys and list positions (from 0) from the top of the spec to a value."""

Scalar = str | int | float | bool | None


class Mark(NamedTuple):
    """Where something stands in the text: line and column, both from 1."""

    line: int
    column: int


class Node(Struct):
    """A value as it stands in the text: a scalar, a list of nodes, or a `Pairs` of key and value nodes."""

    value: "Scalar | list[Node] | Pairs"
    mark: Mark


class Pairs(Struct):
    """Keys and values in the order of the text, repeated ones included."""

    pairs: list[tuple[Node, Node]]


class Marks(Struct):
    """Where each value and each key stands, by path."""

    values: dict[Path, Mark] = field(default_factory=dict)
    keys: dict[Path, Mark] = field(default_factory=dict)


class Walk(Struct):
    """One pass over the nodes of a spec: data and marks grow, problems gather."""

    file: str
    marks: Marks = field(default_factory=Marks)
    problems: list[Problem] = field(default_factory=list)
    values: int = 0

    def data(self, node: Node, path: Path = ()) -> object:
        """The node as dicts, lists and scalars.

        Raises:
            SpecError: At once for what would take too long to walk (depth, number of values).
        """
        self._count(node, path)
        self.marks.values[path] = node.mark
        value = node.value
        if isinstance(value, Pairs):
            return self._mapping(value.pairs, path)
        if isinstance(value, list):
            return [self.data(item, (*path, index)) for index, item in enumerate(value)]
        if isinstance(value, str):
            self.refuse_control_characters(value, node.mark, path)
        if isinstance(value, float) and not math.isfinite(value):
            self.report(node.mark, where(path), "this isn't a number that can be read", "write it in plain digits")
        return value

    def refuse_control_characters(self, text: str, mark: Mark, path: Path) -> None:
        """Record a text with characters that can't be printed, which escapes such as "\\u0007" can smuggle in."""
        for index in control_characters_in(text):
            self.report(mark, where(path), f"{character_name(text[index])} can't stand in a text; delete it")
            break

    def report(self, mark: Mark, place: str, message: str, remedy: str = "") -> None:
        """Record one problem."""
        self.problems.append(Problem(self.file, *mark, place, message, remedy=remedy))

    def _mapping(self, pairs: list[tuple[Node, Node]], path: Path) -> dict[str, object]:
        mapping: dict[str, object] = {}
        for key, node in pairs:
            name = str(key.value)
            inner = (*path, name)
            if name in mapping:
                first = self.marks.keys[inner].line
                remedy = "keep one of the two"
                self.report(key.mark, where(path), f"{name} is given twice, first on line {first}", remedy)
                continue
            self.refuse_control_characters(name, key.mark, path)
            self.marks.keys[inner] = key.mark
            mapping[name] = self.data(node, inner)
        return mapping

    def _count(self, node: Node, path: Path) -> None:
        self.values += 1
        if self.values > MOST_VALUES:
            message = f"a spec has at most {MOST_VALUES} values (an alias counts as often as it is used)"
            raise refusal(self.file, node.mark, message)
        if len(path) > DEEPEST_NESTING:
            raise too_deep(self.file, node.mark)


def control_characters_in(text: str) -> Iterator[int]:
    """Where a text holds what isn't a printable character of YAML 1.2 (production c-printable, section 5.1)."""
    if not text.isprintable():
        control = {char for char in set(text) if not _is_printable(char)}
        yield from (index for index, char in enumerate(text) if char in control) if control else ()


def _is_printable(char: str) -> bool:
    """By comparison, since compiling these ranges as a pattern takes longer than reading a spec with it."""
    return (
        char in "\t\n\r\x85"
        or " " <= char <= "~"
        or "\xa0" <= char <= "\ud7ff"
        or "\ue000" <= char <= "\ufffd"
        or char >= "\U00010000"
    )


def character_name(char: str) -> str:
    """An unprintable character by its number, as in "the control character U+0007"."""
    return f"the control character U+{ord(char):04X}"


def control_characters(text: str, file: str) -> Iterator[Problem]:
    """Every line of the raw text that holds a control character."""
    for index in islice(control_characters_in(text), MOST_PROBLEMS):
        message = f"{character_name(text[index])} stands in the text"
        yield Problem(file, *mark_at(text, index), "", message, remedy="save it as plain UTF-8 text")


def mark_at(text: str, index: int) -> Mark:
    """Line and column of a position in a text whose lines end in a line feed."""
    return Mark(text.count("\n", 0, index) + 1, index - text.rfind("\n", 0, index))


def where(path: Path) -> str:
    """A path in words, list positions from 1: "runs 3 length"."""
    return " ".join(str(step + 1) if isinstance(step, int) else step for step in path)


def refusal(file: str, mark: Mark, message: str, remedy: str = "", place: str = "") -> SpecError:
    """The error for one problem after which reading can't go on."""
    return SpecError([Problem(file, *mark, place, message, remedy=remedy)])


def too_deep(file: str, mark: Mark) -> SpecError:
    """The error for nesting that no spec needs and that would exhaust the program."""
    return refusal(file, mark, f"values are nested more than {DEEPEST_NESTING} levels deep")


def nearest_mark(marks: Mapping[Path, Mark], path: Path) -> Mark:
    """The mark of a path, or of its nearest ancestor that has one."""
    for length in range(len(path), -1, -1):
        if (mark := marks.get(path[:length])) is not None:
            return mark
    return Mark(1, 1)
