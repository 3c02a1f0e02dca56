"""What the notes are made of, before any form of writing: sections of paragraphs, tables, steps and sheets.

Every text in here is plain. A writer makes it harmless in its own language, once, where it is written.
"""

from __future__ import annotations

from typing import TypeAlias

from msgspec import Struct


class Paragraph(Struct, frozen=True):
    """Some sentences."""

    text: str
    strong: bool = False
    """A warning that stops the work."""


class Points(Struct, frozen=True):
    """A list."""

    items: tuple[str, ...]


class Table(Struct, frozen=True):
    """Rows under headings."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: frozenset[str] = frozenset()
    """Headings of the columns with numbers."""
    tick: bool = False
    """Whether each row has a box to tick."""
    write: str = ""
    """Heading of a column to write into; none if empty."""
    title: str = ""


class Ticks(Struct, frozen=True):
    """Things to do, each with a box."""

    title: str
    why: str
    items: tuple[str, ...]
    stops: frozenset[int] = frozenset()
    """Indices of those at which the work stops."""


class Sheets(Struct, frozen=True):
    """The sheets of the drawing, as SVG."""

    svgs: tuple[str, ...]


Block: TypeAlias = Paragraph | Points | Table | Ticks | Sheets


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
    """Revision, date, profile, spec: one line under the title."""
    result: str
    """What the check said, in a few words."""
    letter: bool
    """Whether it is printed on Letter, not A4."""
    date: str
    sections: tuple[Section, ...]
