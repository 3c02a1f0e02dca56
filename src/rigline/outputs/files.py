"""Writes files whole or not at all, and several of them all or none."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from rigline.errors import CommandError

DEVICES = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10)))
)
"""Names that Windows keeps for itself, whatever ending follows. Source: Windows naming conventions for files."""


def write_files(contents: Mapping[Path, bytes]) -> None:
    """Write every file under a temporary name beside its place, then move all of them there.

    Raises:
        CommandError: A file can't be written; files that were there before are as they were.
    """
    _refuse_names(contents)
    waiting: list[tuple[Path, Path]] = []
    try:
        for path, content in contents.items():
            waiting.append((_temporary(path, content), path))
        for temporary, path in waiting:
            temporary.replace(path)
    except OSError as error:
        raise CommandError(f"{error.filename or 'the file'} can't be written: {error.strerror}") from None
    finally:
        for temporary, _ in waiting:
            temporary.unlink(missing_ok=True)


def _refuse_names(paths: Iterable[Path]) -> None:
    """What one system writes and another takes for a device, or for the same file, is no name for a drawing."""
    seen: dict[str, Path] = {}
    for path in paths:
        if path.name.partition(".")[0].rstrip().casefold() in DEVICES:
            raise CommandError(f"{path}: Windows takes this name for a device; choose another")
        other = seen.setdefault(str(path).casefold(), path)
        if other != path:
            raise CommandError(f"{other} and {path} are one file on Windows and macOS; choose another name")


def _temporary(path: Path, content: bytes) -> Path:
    if path.is_dir():
        raise CommandError(f"{path} is a folder; give the name of a file")
    if not path.parent.is_dir():
        raise CommandError(f"there is no folder {path.parent}; make it first")
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        # A temporary file is private; the result gets the rights of an ordinary new file.
        mask = os.umask(0)
        os.umask(mask)
        Path(name).chmod(0o666 & ~mask)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)
