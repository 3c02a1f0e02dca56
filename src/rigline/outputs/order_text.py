"""The lists of an order as text for a phone in a shop, and as CSV and Markdown for a spreadsheet or build notes."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterator

from rigline.ordering.item import State
from rigline.ordering.order import Order
from rigline.outputs.cautions import CAUTIONS
from rigline.outputs.cells import csv_text
from rigline.outputs.markdown_report import escaped
from rigline.outputs.order_rows import Row, Section, sections

WIDTH = 80
"""Columns of the narrowest usual terminal."""
COLUMNS = ("List", "State", "Count", "What", "For", "Note")
BOXES: dict[State | None, str] = {"need": "[ ]", "ordered": "[o]", "have": "[x]", None: " - "}
LEGEND = "[ ] to buy   [o] ordered   [x] in hand   * size chosen by Rigline"
INDENT = " " * 6
_HARD_SPACE = "\N{NO-BREAK SPACE}"
_UNIT = re.compile(r"(?<=[0-9×]) (?=[A-Za-z0-9×])|(?<=[A-Za-z0-9]) (?=[×+-](?: |,|$))")
"""Spaces at which a line isn't broken: before a unit, about a times sign, before a pole."""
MOST_PLACES = 30
"""Places named for one row in text; the other forms have all."""


def order_text(order: Order) -> str:
    """Every list as text of 80 columns."""
    lines = [*filled(_head(order), "", "  "), LEGEND]
    for section in sections(order):
        lines += ["", section.title.upper()]
        lines += filled(section.about, "", "") if section.about else []
        for row in section.rows:
            lines += row_lines(row)
    lines += ["", *(line for one in CAUTIONS for line in filled(one, "Caution: ", "  "))]
    return "\n".join(lines) + "\n"


def _head(order: Order) -> str:
    system = order.study.system
    head = system.head
    parts = [head.title or "untitled", f"revision {head.revision}" if head.revision else "", f"profile {head.profile}"]
    parts += [f"stage {system.stage}"] if system.stage is not None else []
    return f"{system.file}: " + ", ".join(part for part in parts if part)


def row_lines(row: Row) -> Iterator[str]:
    """A row on one line if it fits, else what it is for and what to know below it."""
    first = f"{BOXES[row.state]} {row.count}".rstrip() + "  "
    more = len(row.at) - MOST_PLACES
    places = ", ".join(row.at[:MOST_PLACES]) + (f" and {more} more" if more > 0 else "")
    note = f"({row.note})" if row.note else ""
    whole = f"{first}{'  '.join(part for part in (row.what, places, note) if part)}"
    if len(whole) <= WIDTH:
        yield whole
        return
    yield from filled(row.what, first, INDENT)
    for part in (places, note):
        yield from filled(part, INDENT, INDENT)


def filled(text: str, first: str, indent: str) -> list[str]:
    """Lines of a text; a number stays with its unit."""
    kept = _UNIT.sub(_HARD_SPACE, text)
    lines = textwrap.wrap(
        kept, WIDTH, initial_indent=first, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )
    return [line.replace(_HARD_SPACE, " ") for line in lines]


def order_csv(order: Order) -> str:
    """All lists in one table, a row for each line, the list's name in front."""
    return csv_text([COLUMNS, *(cells for section in sections(order) for cells in _cells(section))])


def _cells(section: Section) -> Iterator[tuple[str, ...]]:
    for row in section.rows:
        yield section.title, row.state or "", row.count, row.what, ", ".join(row.at), row.note


def order_markdown(order: Order) -> str:
    """Every list as a Markdown table under its heading."""
    lines = [f"# Order list of {escaped(order.study.system.head.title or order.study.system.file)}", ""]
    lines += [f"`{order.study.system.file.replace('`', '')}`, {escaped(_head(order).partition(': ')[2])}", ""]
    for section in sections(order):
        lines += [f"## {section.title}", ""]
        lines += [escaped(section.about), ""] if section.about else []
        lines += ["| State | Count | What | For | Note |", "| --- | ---: | --- | --- | --- |"]
        lines += [f"| {' | '.join(escaped(cell) for cell in cells[1:])} |" for cells in _cells(section)]
        lines.append("")
    lines += ["## Cautions", "", *(f"- {escaped(one)}" for one in CAUTIONS)]
    return "\n".join(lines) + "\n"


ORDERS: dict[str, Callable[[Order], str]] = {"text": order_text, "csv": order_csv, "markdown": order_markdown}
"""Form of the lists -> what makes it."""
