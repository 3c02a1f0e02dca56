"""Results as pieces of HTML for somebody else's page, as a notebook's: no script, no style sheet of their own.

A piece says the same as the text of the command, in tables; everything from a spec is shown as text, never as markup.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape

from rigline.changes.change import Changes
from rigline.checks.run import Report
from rigline.ordering.order import Order
from rigline.outputs.cautions import CAUTIONS
from rigline.outputs.changes_rows import change_sections, state_named
from rigline.outputs.changes_rows import summary as changes_summary
from rigline.outputs.order_rows import Section, sections
from rigline.outputs.schedules import COLUMNS, schedule_rows
from rigline.outputs.text import grouped, places_of, summary
from rigline.study.sizing import Choice
from rigline.study.study import Study


def report_html(report: Report) -> str:
    """The findings, what could not be judged, and the cautions."""
    rows = [
        (
            str(number),
            finding.severity.upper() + (" (waived)" if finding.waived is not None else ""),
            places_of(finding),
            finding.message + (f" When: {finding.mode}." if finding.mode else ""),
            finding.remedy,
            f"{finding.rule}, line {finding.line}",
        )
        for number, finding in enumerate(report.findings, 1)
    ]
    missing = [(rule, ", ".join(places), fact) for rule, fact, places in grouped(report.not_assessed)]
    parts = [_heading(f"Check of {_title(report.system.head.title)}"), _paragraph(summary(report))]
    parts += [_table(("No.", "Severity", "At", "What", "Do", "Rule"), rows)] if rows else []
    if missing:
        parts += [_heading("Not assessed: a fact is missing"), _table(("Rule", "At", "Find out"), missing)]
    return _whole([*parts, _cautions()])


def schedule_html(study: Study) -> str:
    """The from-to table."""
    title = _heading(f"Wire schedule of {_title(study.system.head.title)}")
    return _whole(
        [
            title,
            _table(COLUMNS, schedule_rows(study)),
            _paragraph("Lengths are one way. * marks what was chosen."),
            _cautions(),
        ]
    )


def choices_html(choices: Iterable[Choice]) -> str:
    """What was chosen where the spec left it open, with the reason."""
    rows = [
        (one.subject, one.value or "not chosen", "; ".join(part for part in (one.reason, one.collision) if part))
        for one in choices
    ]
    if not rows:
        return _whole([_paragraph("Nothing was left open.")])
    return _whole([_heading("Sizes that were left open"), _table(("For", "Chosen", "Why"), rows)])


def order_html(order: Order) -> str:
    """Every list of an order as a table."""
    heading = _heading(f"To order, cut and borrow for {_title(order.study.system.head.title)}")
    return _whole([heading, *_sections(sections(order)), _cautions()])


def _sections(found: Iterable[Section]) -> Iterator[str]:
    for section in found:
        rows = [(row.state or "", row.count, row.what, ", ".join(row.at), row.note) for row in section.rows]
        yield _heading(section.title) + (_paragraph(section.about) if section.about else "")
        yield _table(("State", "Count", "What", "For", "Note"), rows)


def changes_html(changes: Changes) -> str:
    """Every list of what is different between two states."""
    old, new = changes.old.system, changes.new.system
    parts = [_heading(f"Changes of {_title(new.head.title)}")]
    parts += [_paragraph(f"From {state_named(old)} to {state_named(new)}. {changes_summary(changes)}")]
    return _whole([*parts, *_sections(change_sections(changes)), _cautions()])


def sheets_html(svgs: Sequence[str]) -> str:
    """Sheets below each other, each as wide as there is room for."""
    return _whole(f'<div style="overflow-x:auto;background:white">{svg}</div>' for svg in svgs)


def _whole(parts: Iterable[str]) -> str:
    return f'<div class="rigline">{"".join(parts)}</div>'


def _title(title: str | None) -> str:
    return title or "an untitled system"


def _heading(text: str) -> str:
    return f"<h4>{escape(text)}</h4>"


def _paragraph(text: str) -> str:
    return f"<p>{escape(text)}</p>"


def _cautions() -> str:
    return "".join(_paragraph(f"Caution: {one}") for one in CAUTIONS)


def _table(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    def line(cells: Sequence[str], tag: str) -> str:
        return f"<tr>{''.join(f'<{tag}>{escape(cell)}</{tag}>' for cell in cells)}</tr>"

    return f"<table>{line(columns, 'th')}{''.join(line(row, 'td') for row in rows)}</table>"
