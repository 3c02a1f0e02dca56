"""The notes as PDF, set by typst; the sheets of the drawing go in as vectors.

Names of a spec reach the typesetter as data (JSON that `notes.typ` reads), never as its markup.
"""

from __future__ import annotations

from importlib.resources import as_file, files

import msgspec

from rigline.errors import CommandError
from rigline.layout.text import printable
from rigline.outputs.notes.blocks import Document

INSTALL = "notes as PDF need the typesetter typst: pip install rigline[notes]; .html and .md need nothing"
SET_YEAR = 2000
"""Year in the PDF's own date, which is the same in every run; the date of the system stands in its text."""


def notes_pdf(document: Document) -> bytes:
    """The file.

    Raises:
        CommandError: The typesetter is not installed.
    """
    try:
        import typst
    except ImportError:
        raise CommandError(INSTALL) from None
    from datetime import UTC, datetime

    sources = {"main.typ": files("rigline.outputs.notes").joinpath("notes.typ").read_bytes()}
    with as_file(files("rigline.drawing").joinpath("fonts")) as fonts:
        made = typst.compile(
            {**sources, **_data(document)}, font_paths=[fonts], ignore_system_fonts=True, format="pdf",
            timestamp=datetime(SET_YEAR, 1, 1, tzinfo=UTC),
        )  # fmt: skip
    assert isinstance(made, bytes)
    return made


def _data(document: Document) -> dict[str, bytes]:
    """The document as JSON, its sheets as files beside it."""
    sheets: dict[str, bytes] = {}
    whole = msgspec.to_builtins(document)
    for section in whole["sections"]:
        for block in section["blocks"]:
            if block["type"] == "sheet":
                name = f"sheet-{len(sheets) + 1}.svg"
                sheets[name] = block["svg"].encode()
                block["svg"] = name
    return {"notes.json": msgspec.json.encode(_printable(whole)), **sheets}


def _printable(value: object) -> object:
    """The same with every text on one line of visible characters."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        return {key: _printable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(one) for one in value]
    return value
