"""Writes files whole or not at all, and several of them all or none."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Mapping
from pathlib import Path

from rigline.errors import CommandError


def write_files(contents: Mapping[Path, bytes]) -> None:
    """Write every file under a temporary name beside its place, then move all of them there.

    Raises:
        CommandError: A file can't be written; files that were there before are as they were.
    """
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


def _temporary(path: Path, content: bytes) -> Path:
    if path.is_dir():
        raise CommandError(f"{path} is a folder; give the name of a file")
    if not path.parent.is_dir():
        raise CommandError(f"there is no folder {path.parent}; make it first")
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(name).chmod(_rights(path))
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
    return Path(name)


def _rights(path: Path) -> int:
    """A temporary file is private; the result has the rights of the file it replaces, or of an ordinary new one."""
    try:
        return stat.S_IMODE(path.stat().st_mode)
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask
