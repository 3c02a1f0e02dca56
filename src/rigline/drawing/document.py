"""What a file of several sheets needs beside its pages: bookmarks, links between references, title and date."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from rigline.layout.plan import Sheet, SheetPlan, Target, Text
from rigline.layout.text import Extent, text_box
from rigline.model.natural import natural

_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})")


class Bookmark(Struct, frozen=True):
    """An entry of the outline, with those below it."""

    title: str
    target: Target
    below: tuple[Bookmark, ...] = ()


class Link(Struct, frozen=True):
    """A reference that leads to its other side when it is touched."""

    sheet: int
    box: Extent
    target: Target


class Document(Struct, frozen=True):
    """All of it, for the sheets of one drawing."""

    title: str
    date: str = ""
    """As the spec gives it: the file claims this day if it is written as 2026-11-20."""
    bookmarks: tuple[Bookmark, ...] = ()
    links: tuple[Link, ...] = ()

    @property
    def day(self) -> tuple[int, int, int] | None:
        """Year, month and day of the date, if it is written so and there is such a day."""
        found = _DATE.fullmatch(self.date.strip())
        if found is None:
            return None
        year, month, day = (int(part) for part in found.groups())
        return (year, month, day) if year and 1 <= month <= 12 and 1 <= day <= 31 else None

    def only(self, number: int) -> Document:
        """For one sheet by itself: links to other sheets lead nowhere and go."""
        kept = tuple(_first(mark) for mark in self.bookmarks if mark.target.sheet == number)
        return Document(self.title, self.date, kept)


def _first(mark: Bookmark) -> Bookmark:
    """The same bookmark in a file whose only sheet is the mark's."""
    return Bookmark(mark.title, mark.target._replace(sheet=1), tuple(_first(one) for one in mark.below))


def document_of(plan: SheetPlan, count: int, title: str, date: str) -> Document:
    """The outline and the links of a drawing.

    Args:
        plan: The sheets that show the system.
        count: Of all sheets, those with lists included, which come last.
        title: Title of the drawing.
        date: As the spec gives it.
    """
    marks = [_sheet_mark(sheet, number, count) for number, sheet in enumerate(plan.sheets, 1)]
    marks += [
        Bookmark(f"Sheet {number} of {count}: lists", Target(number, 0.0, 0.0))
        for number in range(len(plan.sheets) + 1, count + 1)
    ]
    links = [
        Link(number, text_box(text), text.leads_to)
        for number, sheet in enumerate(plan.sheets, 1)
        for text in _texts(sheet)
        if text.leads_to is not None
    ]
    return Document(title, date, tuple(marks), tuple(links))


def _sheet_mark(sheet: Sheet, number: int, count: int) -> Bookmark:
    """A sheet by its buses, with its components below it."""
    things: list[tuple[str, str, float, float]] = [
        *((bar.id, bar.title, bar.x0_mm, bar.y_mm) for bar in sheet.bars),
        *((symbol.id, symbol.title, symbol.x_mm, symbol.y_mm) for symbol in sheet.symbols),
    ]
    below = [Bookmark(_name(id, title), Target(number, x, y)) for id, title, x, y in things if title]
    buses = ", ".join(dict.fromkeys(bar.id for bar in sheet.bars if bar.title))
    title = f"Sheet {number} of {count}" + (f": {buses}" if buses else "")
    return Bookmark(title, Target(number, 0.0, 0.0), tuple(sorted(below, key=lambda mark: natural(mark.title))))


def _name(id: str, title: str) -> str:
    """A component's id and name, the beginning of its title."""
    return ", ".join(title.split(", ")[:2]) or id


def _texts(sheet: Sheet) -> Iterable[Text]:
    groups: Sequence[Sequence[Text]] = [sheet.texts, *(wire.texts for wire in sheet.wires)]
    return (text for group in groups for text in group)
