"""Puts keys into a spec's text without touching anything else: comments, order and layout stay as they were.

A parser that writes YAML back would fold lines and move comments. Instead each new key goes in at one place of the
text, and the result is read again to prove that nothing else changed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from rigline.errors import CommandError
from rigline.spec.reading import Tree, read_tree

Path = tuple[str | int, ...]


class Edit(Struct, frozen=True):
    """A key and its value to put into the mapping that a path leads to."""

    mapping: Path
    key: str
    value: str
    first: bool = False
    """Whether it goes to the front of the mapping, as an id does."""


def edited(text: str, tree: Tree, edits: Iterable[Edit], syntax: str) -> str:
    """The text with all edits made.

    Args:
        text: What was read.
        tree: The tree of that text.
        edits: Keys that the mappings do not have yet.
        syntax: yaml or json.

    Raises:
        CommandError: The form of the text does not allow it (TOML, aliases); nothing is lost.
    """
    if syntax not in ("yaml", "json"):
        raise CommandError("values can only be written into YAML and JSON specs; copy them by hand")
    lines = text.splitlines(keepends=True)
    # From the end to the start, so that the places of earlier edits stay right.
    ordered = sorted(edits, key=lambda edit: (_place(tree, edit), edit.key), reverse=True)
    for edit in ordered:
        _insert(lines, tree, edit, syntax)
    result = "".join(lines)
    _prove(result, tree, ordered, syntax)
    return result


def _place(tree: Tree, edit: Edit) -> tuple[int, int]:
    mark = tree.mark_of(edit.mapping)
    return mark.line, mark.column


def _insert(lines: list[str], tree: Tree, edit: Edit, syntax: str) -> None:
    line, column = _place(tree, edit)
    if lines[line - 1][column - 1 : column] == "{":
        _insert_in_braces(lines, line - 1, column - 1, edit, syntax)
    else:
        _insert_as_line(lines, tree, edit)


def _quoted(text: str, syntax: str) -> str:
    return f'"{text}"' if syntax == "json" else text


def _insert_in_braces(lines: list[str], line: int, column: int, edit: Edit, syntax: str) -> None:
    entry = f"{_quoted(edit.key, syntax)}: {_quoted(edit.value, syntax)}"
    if edit.first:
        before, after = lines[line][: column + 1], lines[line][column + 1 :]
        lines[line] = f"{before}{entry}{'' if after.lstrip().startswith('}') else ', '}{after}"
        return
    end_line, end_column = _closing_brace(lines, line, column)
    while not lines[end_line][:end_column].strip():
        end_line, end_column = end_line - 1, len(lines[end_line - 1].rstrip())
    body = lines[end_line][:end_column].rstrip()
    comma = "" if body.endswith(("{", ",")) else ","
    lines[end_line] = f"{body}{comma} {entry}{lines[end_line][end_column:]}"


def _closing_brace(lines: Sequence[str], line: int, column: int) -> tuple[int, int]:
    """Where the brace that opens at a place is closed; quotes and comments are stepped over."""
    depth, quote = 0, ""
    while line < len(lines):
        text = lines[line]
        while column < len(text):
            char = text[column]
            if quote:
                column += 1 if quote == '"' and char == "\\" else 0
                quote = "" if char == quote else quote
            elif char in "\"'" and (column == 0 or not text[column - 1].isalnum()):
                quote = char
            elif char == "#" and (column == 0 or text[column - 1].isspace()):
                break
            elif char in "{}":
                depth += 1 if char == "{" else -1
                if depth == 0:
                    return line, column
            column += 1
        line, column = line + 1, 0
    raise CommandError("the end of a mapping was not found; copy the values by hand")


def _insert_as_line(lines: list[str], tree: Tree, edit: Edit) -> None:
    """A block mapping: the key goes in front of its first key, on a line of its own."""
    keys = [path for path in tree.key_marks if path[:-1] == edit.mapping]
    mark = min(tree.key_marks[path] for path in keys)
    text = lines[mark.line - 1]
    indent = " " * (mark.column - 1)
    lines[mark.line - 1] = f"{text[: mark.column - 1]}{edit.key}: {edit.value}\n{indent}{text[mark.column - 1 :]}"


def _prove(result: str, tree: Tree, edits: Sequence[Edit], syntax: str) -> None:
    """Read the result again: it must be the old tree with the new keys and nothing else."""
    again = read_tree(result, tree.name, "json" if syntax == "json" else "yaml").data
    for edit in edits:
        mapping: object = again
        for part in edit.mapping:
            mapping = mapping[part]  # type: ignore[index]  # a path of the tree that was read
        if not isinstance(mapping, dict) or mapping.pop(edit.key, None) != edit.value:
            raise CommandError("the values could not be put into the text; copy them by hand")
    if again != tree.data:
        raise CommandError("the values could not be put into the text without changing it; copy them by hand")
