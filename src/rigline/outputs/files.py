"""Writes files whole or not at all, and several of them all or none."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from rigline.errors import CommandError

LONGEST_HINT_CHARACTERS = 40
"""So much of a file's name stands in the name of its temporary file, to tell whose it is if one is left behind."""
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
        for name, content in contents.items():
            path = _place(name)
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


def _place(name: Path) -> Path:
    """Where a file is written: behind a link, where the link leads.

    Raises:
        CommandError: There is something that no file may take the place of, or nowhere to put it.
    """
    try:
        path = name.resolve()
    except (OSError, RuntimeError, ValueError):
        raise CommandError(f"{name} can't be written: the name leads nowhere") from None
    if path.is_dir():
        raise CommandError(f"{name} is a folder; give the name of a file")
    if not path.parent.is_dir():
        raise CommandError(f"there is no folder {name.parent}; make it first")
    if path.exists() and not path.is_file():
        raise CommandError(f"{name} is a device or a pipe; give the name of a file")
    if path.exists() and not os.access(path, os.W_OK):
        raise CommandError(f"{name} can't be written: it is read-only")
    return path


def _temporary(path: Path, content: bytes) -> Path:
    # The name alone may be as long as a folder takes; the temporary one must not be longer.
    handle, name = tempfile.mkstemp(prefix=f".{path.name[:LONGEST_HINT_CHARACTERS]}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).chmod(_rights(path))
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _rights(path: Path) -> int:
    """Those of the file that was there, or of an ordinary new one: a temporary file is private."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask
