"""The from-to table of every wire segment as HTML, with what sorting and filtering need."""

from __future__ import annotations

from urllib.parse import quote

from rigline.checks.run import Report
from rigline.layout.text import printable
from rigline.outputs.json_report import segment_numbers
from rigline.outputs.page.facts import numbers_of
from rigline.outputs.page.listing import shown
from rigline.outputs.schedules import COLUMNS, RIGHT, schedule_row
from rigline.study.study import SegmentStudy, Study

FINDINGS = "Findings"
"""The column of the findings' numbers."""


def schedule_html(study: Study, report: Report) -> str:
    """A table with a row for each segment; the head of each column is a button that sorts by it."""
    heads = "".join(
        f'<th aria-sort="none"{_side(name)}><button type="button">{name}</button></th>' for name in (*COLUMNS, FINDINGS)
    )
    rows = "".join(_row(one, study, report) for one in study.segments)
    return f'<div class="wide"><table><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>'


def _row(one: SegmentStudy, study: Study, report: Report) -> str:
    id = one.segment.id
    exact = _exact(one)
    cells = "".join(
        f"<td{_side(name)}{_sorted_by(exact.get(name))}>{_link(id) if name == 'Wire' else shown(text)}</td>"
        for name, text in zip(COLUMNS, schedule_row(one, study), strict=True)
    )
    found = numbers_of(report, study, id)
    links = " ".join(f'<a href="#/finding/{number}">{number}</a>' for number in found)
    return f"<tr>{cells}<td{_sorted_by(float(len(found)))}>{links}</td></tr>"


def _exact(one: SegmentStudy) -> dict[str, float | None]:
    """The numbers behind the columns of numbers."""
    numbers = segment_numbers(one)
    currents = [numbers[key] for key in ("current_a", "charge_current_a") if numbers[key] is not None]
    return {
        "Size": None if one.size is None else one.size.area_mm2,
        "Length": numbers["length_m"],
        "Current": max(currents, default=None),
        "Ampacity": numbers["ampacity_a"],
        "Drop": numbers["drop_percent"],
    }


def _sorted_by(value: float | None) -> str:
    return "" if value is None else f' data-sort="{value:g}"'


def _link(id: str) -> str:
    return f'<a href="#/row/{quote(printable(id), safe="")}">{shown(id)}</a>'


def _side(name: str) -> str:
    return ' class="right"' if name in RIGHT else ""
