"""What the notes are made of, before any form of writing: sections of paragraphs, tables, lists and sheets.

Every text in here is plain. A writer makes it harmless in its own language, once, where it is written.
"""

from __future__ import annotations

import re
from typing import TypeAlias

from msgspec import Struct


class Paragraph(Struct, frozen=True, tag="paragraph"):
    """Some sentences."""

    text: str
    strong: bool = False
    """A warning that stops the work."""


class Points(Struct, frozen=True, tag="points"):
    """A list."""

    items: tuple[str, ...]


class Table(Struct, frozen=True, tag="table"):
    """Rows under headings."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    title: str = ""
    about: str = ""
    right: tuple[str, ...] = ()
    """Headings of the columns with numbers."""
    wide: tuple[str, ...] = ()
    """Headings of the columns that take what room there is."""
    tick: bool = False
    """Whether each row has a box to tick."""
    write: str = ""
    """Heading of a column to write into; none if empty."""
    foot: tuple[str, ...] = ()
    """A last row with sums, in the columns of the rows; none if empty."""


class Ticks(Struct, frozen=True, tag="ticks"):
    """Things to do, each with a box."""

    title: str
    about: str
    items: tuple[str, ...]
    stops: tuple[int, ...] = ()
    """Which of them, counted from 0, stop the work."""


class Sheet(Struct, frozen=True, tag="sheet"):
    """A sheet of the drawing."""

    title: str
    svg: str


Block: TypeAlias = Paragraph | Points | Table | Ticks | Sheet


class Section(Struct, frozen=True):
    """A chapter of the notes."""

    id: str
    """For links within the document."""
    title: str
    blocks: tuple[Block, ...]


class Document(Struct, frozen=True):
    """The notes, ready to be written in any form."""

    title: str
    facts: tuple[str, ...]
    """Revision, date, profile, spec and its hash."""
    result: str
    """What the check said, in a few words."""
    caution: str
    """Stands at the foot of every page."""
    letter: bool
    """Whether it is printed on Letter, not A4."""
    sections: tuple[Section, ...]


def quoted(text: str) -> str:
    """A sentence of ours with the words of a spec in quotes, where a report has them between backticks.

    >>> quoted("write `stud: M8` there")
    'write “stud: M8” there'
    """
    return re.sub(r"`([^`]+)`", r"“\1”", text)


def texts(document: Document) -> list[str]:
    """Every text of the document that a reader sees outside the drawing, in its order."""
    found = [document.title, *document.facts, document.result]
    for section in document.sections:
        found.append(section.title)
        for block in section.blocks:
            found += _texts(block)
    return [text for text in found if text]


def _texts(block: Block) -> list[str]:
    match block:
        case Paragraph():
            return [block.text]
        case Points():
            return list(block.items)
        case Ticks():
            return [block.title, block.about, *block.items]
        case Table():
            cells = [cell for row in (block.heads, *block.rows, block.foot) for cell in row]
            return [block.title, block.about, *cells, block.write]
        case Sheet():
            return [block.title]
