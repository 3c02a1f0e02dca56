"""The first sheet of an .xlsx or .ods workbook becomes rows of cells; of a formula its saved value is read.

A workbook is a zip archive from somebody else: its size unpacked is looked at before anything is unpacked.
"""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime, time
from typing import Any, Final

from rigline.errors import CommandError, SpecError
from rigline.spec.limits import MOST_VALUES
from rigline.spec.reading_nodes import Mark, refusal
from rigline.spec.table_cells import Grid

LARGEST_UNPACKED_BYTES: Final = 50_000_000
"""A hundred times a sheet with the largest number of values that a spec may have."""
MOST_ENTRIES: Final = 2_000
"""Files in the archive of a workbook; an ordinary one has about twenty."""


def grid_of_sheet(data: bytes, name: str) -> Grid:
    """The rows of a workbook's first sheet.

    Raises:
        SpecError: It is no such workbook, or too large.
        CommandError: The library that reads workbooks is not installed.
    """
    _refuse_large(data, name)
    try:
        from python_calamine import CalamineError, CalamineWorkbook
    except ImportError:
        raise CommandError(
            f'{name}: reading .xlsx and .ods needs a library: pip install "rigline[tables]"; or save the sheet as CSV'
        ) from None
    try:
        workbook = CalamineWorkbook.from_filelike(io.BytesIO(data))
        rows = workbook.get_sheet_by_index(0).to_python(skip_empty_area=False)
    except (CalamineError, OSError, ValueError, IndexError):
        raise _no_workbook(name) from None
    if sum(cell != "" for row in rows for cell in row) > MOST_VALUES:
        raise refusal(name, Mark(1, 1), f"a spec has at most {MOST_VALUES} values")
    return [[_text(cell) for cell in row] for row in rows]


def _refuse_large(data: bytes, name: str) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            size_bytes = sum(entry.file_size for entry in entries)
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError):
        raise _no_workbook(name) from None
    if len(entries) > MOST_ENTRIES or size_bytes > LARGEST_UNPACKED_BYTES:
        megabytes = LARGEST_UNPACKED_BYTES // 1_000_000
        raise refusal(name, Mark(1, 1), f"a workbook has at most {megabytes} MB unpacked", "save the sheet as CSV")


def _no_workbook(name: str) -> SpecError:
    message = "this isn't a workbook that can be read (.xlsx or .ods, without a password)"
    return refusal(name, Mark(1, 1), message, "save the sheet as CSV")


def _text(cell: Any) -> str:
    """A cell as it would have been typed."""
    if isinstance(cell, bool):
        return str(cell).lower()
    if isinstance(cell, float):
        return f"{cell:.12g}"
    if isinstance(cell, datetime) and cell.time() == time():
        return cell.date().isoformat()
    return cell.isoformat() if isinstance(cell, datetime | date | time) else str(cell)
