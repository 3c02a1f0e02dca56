"""A spec is found wrong here only as a text: unreadable, unclear, or not shaped as a list of names with values.

Three syntaxes give one tree of plain data, with the line and column of every key and value, so that every later
message can point at the author's own line. What the names mean is for the rest of this package.
"""

import codecs
import hashlib
import os
import stat
from collections.abc import Iterable, Mapping
from pathlib import Path as FilePath
from typing import Final, Literal

from msgspec import Struct

from rigline.errors import CommandError, SpecError, printable
from rigline.spec.limits import LARGEST_FILE_BYTES
from rigline.spec.reading_nodes import Mark, Node, Pairs, Path, Walk, control_characters, mark_at, nearest_mark, refusal

__all__ = [
    "SYNTAX_OF_ENDING", "TABLES", "Mark", "Path", "Syntax", "Tree", "bytes_of_file", "joined_digest", "read_bytes",
    "read_file", "read_tree", "syntax_of",
]  # fmt: skip

Syntax = Literal["yaml", "json", "toml", "csv", "xlsx", "ods"]

SYNTAX_OF_ENDING: Final[Mapping[str, Syntax]] = {
    ".yaml": "yaml", ".yml": "yaml", ".json": "json", ".toml": "toml", ".csv": "csv", ".xlsx": "xlsx", ".ods": "ods"
}  # fmt: skip
"""File ending -> syntax."""
TABLES: Final = ("csv", "xlsx", "ods")
"""Syntaxes of a plain table."""


class Tree(Struct, frozen=True):
    """A spec as plain data, with the place of everything in it.

    Attributes:
        data: Dicts, lists, str, bool and None; from JSON and TOML also int and float. From YAML every number is text.
        marks: Path -> where the value stands.
        key_marks: Path -> where its key stands.
        name: The file, as given.
        digest: SHA-256 of the bytes, in hexadecimal; a line may end in one or two characters without changing it.
        text: The text itself, for those who quote a line of it.
    """

    data: dict[str, object]
    marks: Mapping[Path, Mark]
    key_marks: Mapping[Path, Mark]
    name: str
    digest: str
    text: str = ""

    def mark_of(self, path: Path) -> Mark:
        """Where the value of a path stands, or its nearest ancestor's place if the spec doesn't have it."""
        return nearest_mark(self.marks, path)


def read_file(path: FilePath) -> Tree:
    """The tree of a file, its syntax by its ending.

    Raises:
        CommandError: The file can't be read, or has an ending that isn't in `SYNTAX_OF_ENDING`.
        SpecError: Its text is wrong.
    """
    syntax = syntax_of(path)
    try:
        data = bytes_of_file(path)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a file name"
        raise CommandError(f"{path}: can't be read: {reason.lower()}") from None
    return read_bytes(data, printable(str(path)), syntax)


def bytes_of_file(path: FilePath) -> bytes:
    """All bytes of an ordinary file; of one that is too large, as many as are needed to refuse it.

    Neither a device, which may have no end, nor a pipe, which may have no beginning, is waited for.

    Raises:
        OSError: It can't be read, or isn't an ordinary file.
        ValueError: The name can't be one.
    """
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise OSError(0, "not an ordinary file")
        return file.read(LARGEST_FILE_BYTES + 1)


def syntax_of(path: FilePath) -> Syntax:
    """The syntax that a file's ending says.

    Raises:
        CommandError: It says none.
    """
    syntax = SYNTAX_OF_ENDING.get(path.suffix.casefold())
    if syntax is None:
        raise CommandError(f"{path}: a spec's name ends in {', '.join(SYNTAX_OF_ENDING)}")
    return syntax


def read_bytes(data: bytes, name: str, syntax: Syntax) -> Tree:
    """The tree of a file's bytes: UTF-8, or UTF-16 with a byte order mark.

    Raises:
        SpecError: The bytes aren't such a text, or the text is wrong.
    """
    _refuse_size(len(data), name)
    if syntax in ("xlsx", "ods"):
        from rigline.spec.reading_sheet import grid_of_sheet
        from rigline.spec.reading_table import read_table

        digest = hashlib.sha256(data).hexdigest()
        return _tree_of(read_table(grid_of_sheet(data, name), name), name, digest, "")
    return _tree(_decoded(data, name), name, syntax, _digest(data))


def read_tree(text: str, name: str, syntax: Syntax) -> Tree:
    """The tree of a text.

    Raises:
        SpecError: The text is wrong; holds every problem that could be found in one reading.

    Example:
        >>> tree = read_tree("runs:\\n  - {id: W1, wire: 010}\\n", "trailer.yaml", "yaml")
        >>> tree.data, tree.mark_of(("runs", 0, "wire"))
        ({'runs': [{'id': 'W1', 'wire': '010'}]}, Mark(line=2, column=20))
    """
    data = text.encode("utf-8", "surrogatepass")
    _refuse_size(len(data), name)
    return _tree(text, name, syntax, _digest(data))


def joined_digest(own: str, others: Iterable[str]) -> str:
    """One digest for a spec and the parts files it takes from; its own if there are none."""
    digests = [own, *others]
    return own if len(digests) == 1 else hashlib.sha256(" ".join(digests).encode()).hexdigest()


def _digest(data: bytes) -> str:
    # A checkout on Windows may write every line's end as two characters; the spec is the same.
    return hashlib.sha256(data.replace(b"\r\n", b"\n")).hexdigest()


def _tree(text: str, name: str, syntax: Syntax, digest: str) -> Tree:
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if problems := list(control_characters(plain, name)):
        raise SpecError(problems)
    return _tree_of(_read_node(plain, name, syntax) if plain.strip() else None, name, digest, plain)


def _tree_of(node: Node | None, name: str, digest: str, text: str) -> Tree:
    if node is None or node.value in (None, [], Pairs([])):
        raise refusal(name, Mark(1, 1), "the spec is empty", "start from one that works: rigline new FILE")
    if not isinstance(node.value, Pairs):
        message = "a spec is a list of names with values, as in `components:` and `runs:`"
        raise refusal(name, node.mark, message, "see a complete one: rigline new FILE")
    walk = Walk(name)
    data = walk.data(node)
    if walk.problems:
        raise SpecError(walk.problems)
    assert isinstance(data, dict)
    return Tree(data, walk.marks.values, walk.marks.keys, name, digest, text)


def _read_node(text: str, name: str, syntax: Syntax) -> Node | None:
    """The nodes of a text; the parser is loaded only when its syntax is read."""
    if syntax == "yaml":
        from rigline.spec.reading_yaml import read_yaml

        return read_yaml(text, name)
    if syntax == "json":
        from rigline.spec.reading_json import read_json

        return read_json(text, name)
    if syntax == "toml":
        from rigline.spec.reading_toml import read_toml

        return read_toml(text, name)
    from rigline.spec.reading_table import read_table
    from rigline.spec.table_cells import grid_of_csv

    return read_table(grid_of_csv(text, name), name)


def _decoded(data: bytes, name: str) -> str:
    if b"\x00" in data[:200] and not data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        message = "this looks like UTF-16 text without its mark, or like no text at all"
        raise refusal(name, Mark(1, 1), message, "save the file as UTF-8")
    is_utf16 = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    encoding = "utf-16" if is_utf16 else "utf-8"
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        before = data[: error.start].decode(encoding, "replace")
        mark = mark_at(before, len(before))
        message = f"byte 0x{data[error.start]:02X} isn't {encoding.upper()} text"
        raise refusal(name, mark, message, "save the file as UTF-8") from None


def _refuse_size(size_bytes: int, name: str) -> None:
    if size_bytes > LARGEST_FILE_BYTES:
        megabytes = LARGEST_FILE_BYTES // 1_000_000
        raise refusal(name, Mark(1, 1), f"a spec has at most {megabytes} MB", "check that this is the right file")
