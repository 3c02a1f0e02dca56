"""The notes as PDF, set by typst; the sheets of the drawing go in as vectors.

Names of a spec reach the typesetter as data (JSON that `notes.typ` decodes), never as its markup.
"""

from __future__ import annotations

from importlib.resources import as_file, files
from typing import Any

import msgspec

from rigline.errors import CommandError
from rigline.layout.text import printable
from rigline.outputs.notes.blocks import Document

INSTALL = 'notes as PDF need the typesetter typst; install it: pip install "rigline[notes]"; .html and .md need nothing'
MOST_LETTERS = 45
"""Of a column; longer texts are broken."""
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

    source, faces = files("rigline.outputs.notes").joinpath("notes.typ"), files("rigline.drawing").joinpath("fonts")
    with as_file(source) as template, as_file(faces) as fonts:
        made: bytes = typst.compile(
            template, sys_inputs=_data(document), font_paths=[fonts], ignore_system_fonts=True, format="pdf",
            timestamp=datetime(SET_YEAR, 1, 1, tzinfo=UTC),
        )  # fmt: skip
        return made


def _data(document: Document) -> dict[str, str]:
    """The document as JSON, and its sheets by the names that stand in it."""
    sheets: dict[str, str] = {}
    whole = msgspec.to_builtins(document)
    for section in whole["sections"]:
        for block in section["blocks"]:
            if block["type"] == "table":
                block["letters"] = _letters(block)
            elif block["type"] == "sheet":
                name = f"sheet-{len(sheets) + 1}"
                sheets[name] = block["svg"]
                block["svg"] = name
    return {"notes": msgspec.json.encode(_printable(whole)).decode(), **sheets}


def _letters(table: dict[str, Any]) -> list[int]:
    """Letters that each column of a table has room for, beside some for its margins."""
    columns = zip(table["heads"], *table["rows"], strict=True)
    return [min(max(len(cell) for cell in column), MOST_LETTERS) + 2 for column in columns]


def _printable(value: object) -> object:
    """The same with every text on one line of visible characters."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        return {key: _printable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(one) for one in value]
    return value
