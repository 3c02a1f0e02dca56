"""A table's text becomes rows of cells: which character parts the cells, and what a spreadsheet did to them."""

from __future__ import annotations

import csv
import io
from typing import Final

from rigline.errors import SpecError
from rigline.spec.reading_nodes import Mark, refusal

Grid = list[list[str]]
"""Rows of cells, as a spreadsheet counts them."""

DELIMITERS: Final = (",", ";", "\t", "|")
"""Characters between cells, the likeliest first; a spreadsheet uses ; where the comma is the decimal marker."""
COMMENT: Final = "#"
"""A row whose first cell begins with it is a remark."""
_FORMULA_STARTS: Final = ("'=", "'+", "'-", "'@")
"""An apostrophe before these keeps a spreadsheet from reading a formula; it is no part of the text."""


def grid_of_csv(text: str, name: str) -> Grid:
    """The rows of a CSV text (RFC 4180; also with semicolons, tabs or bars between cells).

    Raises:
        SpecError: Its quotes don't match.
    """
    grids: list[Grid] = []
    for delimiter in DELIMITERS:
        try:
            grid = _split(text, delimiter)
        except csv.Error as error:
            if delimiter == DELIMITERS[-1] and not grids:
                raise _unreadable(text, name, error) from None
            continue
        if header_row(grid) is not None:
            return grid
        grids.append(grid)
    return max(grids, key=lambda grid: max((len(row) for row in grid), default=0))


def header_row(grid: Grid) -> int | None:
    """Index of the row that names the columns; None if there is none."""
    for index, row in enumerate(grid):
        names = {cell.strip().casefold() for cell in row}
        if not is_remark(row) and {"id", "kind"} <= names:
            return index
    return None


def is_remark(row: list[str]) -> bool:
    """Whether a row says nothing to the program: it is empty, or begins with #."""
    first = next((cell.strip() for cell in row if cell.strip()), "")
    return not first or first.startswith(COMMENT) or first.casefold().startswith("sep=")


def plain_cell(cell: str) -> str:
    """A cell's text as the author meant it.

    Example:
        >>> plain_cell(" '-0.28 %/K ")
        '-0.28 %/K'
    """
    text = cell.strip()
    return text[1:] if text.startswith(_FORMULA_STARTS) else text


def _split(text: str, delimiter: str) -> Grid:
    return [list(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)]


def _unreadable(text: str, name: str, error: csv.Error) -> SpecError:
    lines = max(text.count("\n"), 1)
    return refusal(name, Mark(lines, 1), f"this isn't a table that can be read: {error}", "look for a quote too many")
