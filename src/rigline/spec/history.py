"""A spec as it was in a git revision, with the parts files of that revision.

Git is asked by `git show REVISION:./FILE`, without a shell; a revision that git could take for an option is refused.
"""

from __future__ import annotations

import os
import posixpath
import re
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import NamedTuple

from rigline.errors import CommandError
from rigline.spec.reading import SYNTAX_OF_ENDING, Tree, read_bytes

_AT_REVISION = re.compile(rf"(.+?(?:{'|'.join(map(re.escape, SYNTAX_OF_ENDING))}))@(.*)", re.IGNORECASE | re.DOTALL)
"""The name of a spec, and behind its ending the revision, which may hold an @ itself."""
_REFUSED = re.compile(r"[\x00-\x20\x7f:]")
"""No revision has a space or control character; a colon would end it."""
QUIET = {"LC_ALL": "C", "GIT_TERMINAL_PROMPT": "0", "GIT_NO_LAZY_FETCH": "1", "GIT_OPTIONAL_LOCKS": "0"}
"""Git says what it says in English, asks nothing, fetches nothing and writes nothing."""


class Past(NamedTuple):
    """A spec's file and the revision that it is wanted of."""

    path: Path
    revision: str

    @property
    def name(self) -> str:
        """As the user wrote it."""
        return f"{self.path}@{self.revision}"


def past_of(source: str) -> Past | None:
    """The file and revision that a text names; None if it is the name of a file.

    >>> past_of("boat.yaml@HEAD@{1}").revision, past_of("boat.yaml")
    ('HEAD@{1}', None)
    """
    found = _AT_REVISION.fullmatch(source)
    return None if found is None or Path(source).exists() else Past(Path(found[1]), found[2])


@contextmanager
def read_past(past: Past) -> Iterator[tuple[Tree, Path]]:
    """The tree of a spec as it was, and a folder that holds the parts files of the same revision for as long.

    Raises:
        CommandError: Git or the revision is missing, or the file was not in it.
        SpecError: The text that was there is wrong.
    """
    if not past.revision or past.revision.startswith("-") or _REFUSED.search(past.revision):
        raise CommandError(f"{past.name}: no revision; write a commit, branch or tag behind the @, as in @HEAD~1")
    syntax = SYNTAX_OF_ENDING[past.path.suffix.casefold()]
    content = _shown(past, past.path.name)
    if content is None:
        raise CommandError(_reason(past))
    tree = read_bytes(content, past.name, syntax)
    with tempfile.TemporaryDirectory(prefix="rigline-") as folder:
        listed = tree.data.get("parts")
        for name in listed if isinstance(listed, list) else []:
            _keep_part(past, name, Path(folder))
        yield tree, Path(folder)


def _keep_part(past: Past, name: object, folder: Path) -> None:
    """A parts file of the revision in a folder. What is not there, or lies outside, the reader of parts tells of."""
    plain = posixpath.normpath(name.replace(os.sep, "/")) if isinstance(name, str) else ""
    is_spec = Path(plain).suffix.casefold() in SYNTAX_OF_ENDING
    if not is_spec or "\0" in plain or plain.startswith(("/", "../")):
        return
    content = _shown(past, plain)
    with suppress(OSError):
        if content is not None and (folder / plain).resolve().is_relative_to(folder.resolve()):
            (folder / plain).parent.mkdir(parents=True, exist_ok=True)
            (folder / plain).write_bytes(content)


def _shown(past: Past, name: str) -> bytes | None:
    """A file of the revision, named from where the spec lies; None if git has none."""
    shown = _git(past, "show", f"{past.revision}:./{name}", "--")
    return shown.stdout if shown.returncode == 0 else None


def _reason(past: Past) -> str:
    """Why a spec could not be shown."""
    inside = _git(past, "rev-parse", "--git-dir")
    if inside.returncode:
        said = inside.stderr.decode(errors="replace").strip().removeprefix("fatal: ").partition("\n")[0]
        return f"{past.name}: {past.path.parent} lies in no git repository that can be read (git: {said})"
    if _git(past, "rev-parse", "--verify", "--quiet", f"{past.revision}^{{commit}}").returncode:
        return f"{past.name}: the repository has no revision {past.revision}; git log names those that there are"
    return f"{past.name}: {past.path.name} was not in revision {past.revision}"


def _git(past: Past, *arguments: str) -> subprocess.CompletedProcess[bytes]:
    folder = past.path.parent
    if not folder.is_dir():
        raise CommandError(f"{past.name}: there is no folder {folder}")
    try:
        return subprocess.run(
            ["git", "-C", str(folder.resolve()), *arguments],
            stdin=subprocess.DEVNULL, capture_output=True, check=False, env=os.environ | QUIET,
        )  # fmt: skip
    except OSError:
        raise CommandError(f"{past.name}: git is needed to read a revision, and is not installed") from None
