"""The spec on disk: read as it is now, watched together with its parts files, and never written over unseen."""

from __future__ import annotations

import codecs
import hashlib
from pathlib import Path

from msgspec import Struct

from rigline.errors import CommandError, SpecError
from rigline.outputs.files import write_files
from rigline.spec.limits import LARGEST_FILE_BYTES
from rigline.spec.parts import parts_files
from rigline.spec.reading import Syntax, read_bytes, syntax_of
from rigline.unit_system import UnitSystem


class SavedText(Struct, frozen=True):
    """What a file holds, and what must be kept of it when its text is written anew."""

    data: bytes
    text: str | None
    """With single line feeds; None if the bytes are no text that can be edited."""
    encoding: str = "utf-8"
    line_end: str = "\n"

    @property
    def digest(self) -> str:
        """SHA-256 of the bytes, in hexadecimal."""
        return hashlib.sha256(self.data).hexdigest()

    def encoded(self, text: str) -> bytes:
        """Another text with the same encoding and line ends."""
        return text.replace("\n", self.line_end).encode(self.encoding)


class ChangedElsewhere(Exception):
    """The file no longer holds the text that an edit began from.

    Attributes:
        now: What it holds.
    """

    def __init__(self, now: SavedText) -> None:
        super().__init__("the file was changed elsewhere")
        self.now = now


class SpecFile:
    """A spec's file; `stage` limits what is looked at to what is built by it, `units` says in which it is told."""

    def __init__(self, path: Path, stage: str | None = None, units: UnitSystem | None = None) -> None:
        self.path = path
        self.stage = stage
        self.units = units
        self.syntax: Syntax = syntax_of(path)
        self._parts: tuple[Path, ...] = ()

    def read(self) -> bytes:
        """What the file holds; one byte more than a spec may have if it is too large.

        Raises:
            CommandError: It can't be read.
        """
        return _bytes(self.path)

    def saved(self) -> SavedText:
        """What the file holds, as a text to edit; CommandError if it can't be read."""
        return _saved(self.read())

    def save(self, text: str, base: str) -> SavedText:
        """Write a text, whole or not at all, if the file still holds what the text was made from.

        Args:
            text: With single line feeds.
            base: Digest of what the file held then.

        Raises:
            ChangedElsewhere: It holds something else by now; nothing was written.
            CommandError: It can't be read or written.
        """
        now = self.saved()
        if now.digest != base:
            raise ChangedElsewhere(now)
        data = now.encoded(text)
        # A link stays a link: the file that it leads to is the one that gets the text.
        write_files({self.path.resolve(): data})
        return _saved(data)

    def note_parts(self, data: bytes) -> None:
        """Watch the parts files that a text names; a text that can't be read names the same as before."""
        try:
            tree = read_bytes(data, str(self.path), self.syntax)
        except SpecError:
            return
        self._parts = parts_files(tree, self.path.parent)

    def digest(self, data: bytes) -> str:
        """One digest over the spec's text and all its parts files, so that a change of any is seen."""
        whole = hashlib.sha256(data)
        for file in self._parts:
            try:
                content = _bytes(file)
            except CommandError:
                content = b"missing"
            whole.update(hashlib.sha256(content).digest())
        return whole.hexdigest()

    def folders(self) -> frozenset[Path]:
        """Where the files lie: a file that is saved by renaming another over it is seen in its folder only."""
        files = (self.path.absolute(), self.path.resolve(), *self._parts)
        return frozenset(folder for file in files if (folder := file.parent).is_dir())


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_FILE_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a file name"
        raise CommandError(f"{path}: can't be read: {reason.lower()}") from None


def _saved(data: bytes) -> SavedText:
    encoding = _encoding(data)
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        return SavedText(data, None)
    line_end = "\r\n" if "\r\n" in text else "\n"
    return SavedText(data, text.replace("\r\n", "\n").replace("\r", "\n"), encoding, line_end)


def _encoding(data: bytes) -> str:
    """The encoding that writes the same byte order mark again."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    return "utf-8-sig" if data.startswith(codecs.BOM_UTF8) else "utf-8"
