"""The lists of an order as HTML, for a page that stands beside the drawing."""

from __future__ import annotations

from rigline.ordering.order import Order
from rigline.outputs.order_rows import Row, Section, sections
from rigline.outputs.page.listing import shown, with_terms

STATES = {"need": "to buy", "ordered": "ordered", "have": "in hand", None: ""}
"""What a state is called on a page."""


def order_html(order: Order) -> str:
    """Every list with its heading."""
    return "\n".join(_section(section) for section in sections(order))


def _section(section: Section) -> str:
    about = f'<p class="note">{with_terms(section.about)}</p>' if section.about else ""
    rows = "".join(_row(row) for row in section.rows)
    head = "".join(f"<th{_side(name)}>{name}</th>" for name in ("Count", "What", "For", "Note", "State"))
    table = f'<div class="wide"><table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table></div>'
    return f"<h2>{shown(section.title)}</h2>{about}{table}"


def _row(row: Row) -> str:
    cells = (row.what, ", ".join(row.at), row.note, STATES[row.state])
    rest = "".join(f"<td>{with_terms(cell)}</td>" for cell in cells)
    return f'<tr><td class="right">{shown(row.count)}</td>{rest}</tr>'


def _side(name: str) -> str:
    return ' class="right"' if name == "Count" else ""
