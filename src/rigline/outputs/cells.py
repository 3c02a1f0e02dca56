"""Cells of a table that a spreadsheet opens: text that it would take for a formula is made harmless."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet reads as the beginning of a formula. Source: common practice against formula injection."""


def harmless(cell: str) -> str:
    """A cell that a spreadsheet shows as it stands.

    >>> harmless("=1+1"), harmless("+ -"), harmless("14 AWG")
    ("'=1+1", "'+ -", '14 AWG')
    """
    return f"'{cell}" if cell.startswith(FORMULA_STARTS) else cell


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows as CSV, every cell harmless."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return out.getvalue()
