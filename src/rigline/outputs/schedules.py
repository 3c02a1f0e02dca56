"""The from-to table of every wire segment as text, CSV and Markdown."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rigline.model.describe import amount
from rigline.outputs.cells import csv_text
from rigline.study.study import SegmentStudy, Study
from rigline.units import format_amount

COLUMNS = ("Wire", "From", "To", "Carries", "Size", "Length", "Current", "Ampacity", "Drop", "Protected by")
RIGHT = frozenset({"Length", "Current", "Ampacity", "Drop"})
"""Columns of numbers."""


def schedule_rows(study: Study) -> list[tuple[str, ...]]:
    """A row of cells for each segment; `*` marks what the tool chose, `?` what is not known."""
    return [schedule_row(one, study) for one in study.segments]


def schedule_text(study: Study) -> str:
    """A table with a row for each segment; `*` marks what the tool chose, `?` what is not known."""
    rows = schedule_rows(study)
    widths = [max(len(row[index]) for row in (COLUMNS, *rows)) for index in range(len(COLUMNS))]
    lines = [_line(COLUMNS, widths), "  ".join("-" * width for width in widths), *(_line(row, widths) for row in rows)]
    notes = [
        "",
        "Lengths are one way. * is a size that was chosen, ? is not known.",
        "Drop is out and back at the worst current, in per cent of the nominal voltage.",
    ]
    notes += [f"{choice.subject}: {choice.value} chosen, {choice.reason}" for choice in study.sizes.choices]
    notes += [f"{choice.subject}: {choice.collision}" for choice in study.sizes.choices if choice.collision]
    return "\n".join([*lines, *notes]) + "\n"


def _line(row: Sequence[str], widths: Sequence[int]) -> str:
    cells = [
        cell.rjust(width) if name in RIGHT else cell.ljust(width)
        for name, cell, width in zip(COLUMNS, row, widths, strict=True)
    ]
    return "  ".join(cells).rstrip()


def schedule_row(one: SegmentStudy, study: Study) -> tuple[str, ...]:
    """What stands in each of `COLUMNS` for one segment."""
    segment = one.segment
    size = "?" if one.size is None else f"{one.size}{'*' if one.sized else ''}"
    count = study.system.run(segment.run).spec.conductors
    return (
        segment.id,
        _end(segment.start.component, segment.start.exit, segment.start.pole),
        _end(segment.end.component, segment.end.entry, segment.end.pole),
        _carries(one),
        f"{count} × {size}" if count > 1 else size,
        "?" if segment.length_m is None else amount(segment.length_m, "m"),
        _amps(max(one.current_a or 0.0, one.charge_current_a or 0.0) if one.current_a is not None else None),
        _amps(one.ampacity_a),
        "?" if one.drop_frac is None and one.current_a is not None else _percent(one.drop_frac),
        ", ".join(one.protected_by),
    )


def _end(id: str, terminal: str, pole: str) -> str:
    return id + (f".{terminal}" if terminal and terminal not in ("in", "out") else "") + (pole if pole in "+-" else "")


def _carries(one: SegmentStudy) -> str:
    if one.segment.carries == "cores":
        return " ".join("L" if c.pole == "L1" and not _split(one) else c.pole for c in one.segment.conductors)
    return {"pair": "+ -"}.get(one.segment.carries, one.segment.carries)


def _split(one: SegmentStudy) -> bool:
    return any(c.pole == "L2" for c in one.segment.conductors)


def _amps(value: float | None) -> str:
    return "" if value is None else format_amount(0.0 if value < 1e-6 else value, "a")


def _percent(value: float | None) -> str:
    return "" if value is None else f"{value * 100:.1f} %"


def schedule_csv(study: Study) -> str:
    """The same table as CSV; a cell that a spreadsheet would take for a formula begins with an apostrophe."""
    return csv_text([COLUMNS, *schedule_rows(study)])


def schedule_markdown(study: Study) -> str:
    """The same table as Markdown."""
    rows = schedule_rows(study)
    ruler = ["---:" if name in RIGHT else "---" for name in COLUMNS]
    lines = [COLUMNS, ruler, *([cell.replace("|", "\\|") for cell in row] for row in rows)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines) + "\n"


SCHEDULES: dict[str, Callable[[Study], str]] = {
    "text": schedule_text,
    "csv": schedule_csv,
    "markdown": schedule_markdown,
}
"""Form of the table -> what makes it."""
