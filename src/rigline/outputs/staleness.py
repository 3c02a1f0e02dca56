"""Whether a drawing in a file is of the spec as it is now, by the hash of the spec that every drawing carries.

Only the spec is compared, with its parts files. A later Rigline may judge the same spec otherwise: draw again after an
update.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from rigline.drawing.description import descriptions
from rigline.drawing.furniture import HASH_NAME
from rigline.errors import CommandError
from rigline.model.system import System
from rigline.outputs.furniture import spec_hash

_HASH = re.compile(rf"\b{HASH_NAME} ([0-9a-f]+)\.")
_COUNT = re.compile(r"\bsheet \d+ of (\d+)\b")
NUMBERED = ("svg", "png")
"""Forms of one sheet a file: several sheets are numbered files."""


def stale(path: Path, form: str, system: System) -> list[str]:
    """Why a drawing is not of the spec as it is now, each reason with its file; empty if it is.

    Args:
        path: The file as it was named when it was drawn; its numbered sheets are found from it.
        form: svg, pdf, png or html.
        system: What the spec says now.

    Raises:
        CommandError: A file can't be read.
    """
    files = _files(path, form)
    if not files:
        return [f"{path}: missing"]
    said = {file: descriptions(_content(file), form) for file in files}
    reasons = [f"{file}: {why}" for file in files if (why := _why(said[file], spec_hash(system)))]
    return reasons or [f"{file}: missing" for file in _lacking(path, form, said)]


def _files(path: Path, form: str) -> list[Path]:
    """The file itself, and the numbered sheets beside it."""
    found = [path] if path.exists() else []
    if form in NUMBERED and path.parent.is_dir():
        name = re.compile(re.escape(path.stem) + r"-\d+" + re.escape(path.suffix))
        found += [file for file in sorted(path.parent.iterdir()) if name.fullmatch(file.name)]
    return found


def _content(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except OSError as error:
        raise CommandError(f"{file}: can't be read: {(error.strerror or '').lower()}") from None


def _why(said: list[str], wanted: str) -> str:
    hashes = {match[1] for text in said for match in _HASH.finditer(text)}
    if not hashes:
        return "says no spec hash (not drawn by Rigline, drawn by an older one, or changed since)"
    other = sorted(hashes - {wanted})
    return f"stale: drawn of spec {other[0]}, which is now {wanted}" if other else ""


def _lacking(path: Path, form: str, said: dict[Path, list[str]]) -> Iterator[Path]:
    """Numbered sheets that the others speak of and that are not there."""
    if form not in NUMBERED or path in said:
        return
    counts = [int(match[1]) for texts in said.values() for text in texts for match in _COUNT.finditer(text)]
    for number in range(1, max(counts, default=0) + 1):
        sheet = path.with_name(f"{path.stem}-{number}{path.suffix}")
        if sheet not in said:
            yield sheet
