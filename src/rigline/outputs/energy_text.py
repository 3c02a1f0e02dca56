"""The energy report as text for a terminal of 80 columns, as Markdown, and its daily load table as CSV."""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Callable, Iterator, Sequence

from rigline.energy.report_facts import EnergyReport
from rigline.outputs.energy_report import Block, Item, Section, Table, sections
from rigline.outputs.text import WIDTH, Line, plain

INDENT = "   "
NARROW = 14
"""Columns that a cell may be wrapped down to."""


def energy_text(report: EnergyReport) -> str:
    """The whole report as plain text."""
    return plain(energy_lines(report))


def energy_lines(report: EnergyReport) -> list[Line]:
    """The whole report, each line with what it is."""
    lines = [Line(line, "heading") for line in _filled(_title(report), "", "  ")]
    for section in sections(report):
        lines += [Line(""), Line(section.title.upper(), "heading")]
        role = "caution" if section.title == "Cautions" else ""
        lines += [Line(line, "caution" if role else "") for line in _section(section)]
    return lines


def _title(report: EnergyReport) -> str:
    system = report.balance.system
    parts = [system.head.title or "untitled", f"revision {system.head.revision}" if system.head.revision else ""]
    return f"{system.file}: energy of {', '.join(part for part in parts if part)}"


def _section(section: Section) -> Iterator[str]:
    before: Block | None = None
    for block in section.blocks:
        if before is not None and (isinstance(block, Table) or isinstance(before, Table)):
            yield ""
        if isinstance(block, Table):
            yield from (f"{INDENT}{line}".rstrip() for line in _table(block))
        elif isinstance(block, Item):
            yield from _filled(block.text, f"{INDENT}- ", f"{INDENT}  ")
        else:
            yield from _filled(block, INDENT, INDENT)
        before = block


def _filled(text: str, first: str, indent: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )


def _table(table: Table) -> Iterator[str]:
    """A table whose first column is wrapped if the whole is too wide."""
    widths = [max(len(row[i]) for row in (table.columns, *table.rows)) for i in range(len(table.columns))]
    room = WIDTH - len(INDENT) - sum(widths[1:]) - 2 * (len(widths) - 1)
    widths[0] = min(widths[0], max(room, NARROW))
    yield from _row(table, table.columns, widths)
    yield "  ".join("-" * width for width in widths)
    for row in table.rows:
        yield from _row(table, row, widths)


def _row(table: Table, row: Sequence[str], widths: Sequence[int]) -> Iterator[str]:
    first = textwrap.wrap(row[0], widths[0], subsequent_indent="  ", break_on_hyphens=False) or [""]
    cells = [
        cell.rjust(width) if name in table.right else cell.ljust(width)
        for name, cell, width in zip(table.columns[1:], row[1:], widths[1:], strict=True)
    ]
    # The figures stand beside the last line of a wrapped name.
    yield from first[:-1]
    yield "  ".join([first[-1].ljust(widths[0]), *cells]).rstrip()


def energy_markdown(report: EnergyReport) -> str:
    """The whole report as Markdown."""
    parts = [f"# {_escaped(_title(report))}"]
    for section in sections(report):
        parts.append(f"## {section.title}")
        parts.append("\n\n".join(_markdown_blocks(section.blocks)))
    return "\n\n".join(parts) + "\n"


def _markdown_blocks(blocks: Sequence[Block]) -> Iterator[str]:
    items: list[str] = []
    for block in blocks:
        if isinstance(block, Item):
            items.append(f"- {_escaped(block.text)}")
            continue
        if items:
            yield "\n".join(items)
            items = []
        yield _markdown_table(block) if isinstance(block, Table) else _escaped(block)
    if items:
        yield "\n".join(items)


def _markdown_table(table: Table) -> str:
    ruler = ["---:" if name in table.right else "---" for name in table.columns]
    rows = [table.columns, tuple(ruler), *(tuple(_escaped(cell) for cell in row) for row in table.rows)]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _escaped(text: str) -> str:
    """A spec's text with nothing that Markdown or the HTML in it would act on."""
    for mark in "\\`*_[]|":
        text = text.replace(mark, f"\\{mark}")
    return text.replace("&", "&amp;").replace("<", "&lt;")


CSV_COLUMNS = (
    "id", "name", "medium", "count", "power_w", "use_h_per_day", "duty_frac", "days_per_week", "season", "part_of_day",
    "day_wh", "battery_wh",
)  # fmt: skip


def energy_csv(report: EnergyReport) -> str:
    """The daily load table, one line a load; an empty cell is not known."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(CSV_COLUMNS)
    for row in report.balance.loads.rows:
        writer.writerow([_cell(getattr(row, column)) for column in CSV_COLUMNS])
    return out.getvalue()


def _cell(value: object) -> str:
    """A cell; one that a spreadsheet would take for a formula begins with an apostrophe."""
    text = "" if value is None else f"{value:.10g}" if isinstance(value, float) else str(value)
    return f"'{text}" if not isinstance(value, float) and text[:1] in ("=", "+", "-", "@", "\t") else text


ENERGY_FORMS: dict[str, Callable[[EnergyReport], str]] = {
    "text": energy_text,
    "csv": energy_csv,
    "markdown": energy_markdown,
}
"""Form of the report -> what makes it."""
