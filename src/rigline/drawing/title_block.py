"""The title block at the bottom right: what this sheet is, whose, of when, and what the check said."""

from __future__ import annotations

from msgspec import Struct

from rigline.drawing.furniture import DOCUMENT_TYPE, STATUS, Furniture
from rigline.drawing.ink import Ink, gathered
from rigline.drawing.symbol import POWER_MM, THIN_MM, Polyline
from rigline.layout.plan import Text
from rigline.layout.sheet import Box
from rigline.layout.text import descent_mm, printable, shortened, text_width_mm

NAME_MM = 1.8
"""Height of field names. Source: ISO 3098 series (from memory)."""
DATA_MM = 2.5
"""Height of what is written in a field. Source: ISO 3098 series (from memory)."""
TITLE_MM = 3.5
"""Height of the title. Source: ISO 3098 series (from memory)."""
TITLE_ROW_MM = 5.5
"""Least height of the row with the title: its letters with their descenders, and no field name. Our own choice."""
ROW_MM = 7.0
"""Height of the other rows where there is room. Our own choice."""
PAD_MM = 1.2
"""Free space beside the text of a field. Our own choice."""
FOOT_MM = 0.3
"""Free space below the descenders of a value. Our own choice."""
NAME_DOWN_MM = 2.1
"""From the top of a cell to the baseline of its name."""
BLANK = " "
"""Left open for a signature."""
UNKNOWN = "–"
"""What stands in a field that nobody filled in."""


class _Field(Struct, frozen=True):
    name: str
    value: str
    share: float
    """Part of the row's width."""
    capital_mm: float = DATA_MM
    bold: bool = False


def _rows(facts: Furniture, number: int, count: int, paper: str) -> tuple[tuple[_Field, ...], ...]:
    """The fields of ISO 7200 and those a checker of plans asks for, in rows; the title needs no name."""
    rules = ", ".join(part for part in (facts.profile, facts.edition) if part)
    spec = "  ".join(part for part in (facts.spec_name, facts.spec_hash) if part)
    title = _Field("", facts.title, 0.62 if facts.supplement else 1.0, TITLE_MM, bold=True)
    return (
        (title, _Field("", facts.supplement, 0.38)) if facts.supplement else (title,),
        (
            _Field("Legal owner", facts.owner, 0.28),
            _Field("Creator", facts.author, 0.24),
            _Field("Approved by", BLANK, 0.24),
            _Field("Drawing number", facts.number, 0.24),
        ),
        (_Field("Document type", DOCUMENT_TYPE, 0.28), _Field("Status", STATUS, 0.72)),
        (
            _Field("Date of issue", facts.date, 0.19),
            _Field("Revision", facts.revision, 0.12),
            _Field("Sheet", f"{number} of {count}", 0.15),
            _Field("Paper", paper, 0.14),
            _Field("Nominal voltages", facts.voltages, 0.40),
        ),
        (_Field("Profile and edition", rules, 1.0),),
        (_Field("Spec file and hash", spec, 0.42), _Field("Result of the check", facts.result, 0.58)),
    )


def _fitted(field: _Field, room_mm: float) -> tuple[str, float]:
    """The field's text and lettering: smaller if that saves it whole, or else cut with an ellipsis."""
    value = field.value if field.value == BLANK else printable(field.value) or UNKNOWN
    if text_width_mm(value, field.capital_mm, field.bold) <= room_mm:
        return value, field.capital_mm
    smaller = NAME_MM if field.capital_mm == DATA_MM else DATA_MM
    return shortened(value, room_mm, smaller, field.bold), smaller


def _field_ink(field: _Field, x: float, y: float, width: float, height: float) -> Ink:
    """Name at the top and value at the foot of a cell."""
    value, capital = _fitted(field, width - 2 * PAD_MM)
    names = (Text(x + PAD_MM, y + NAME_DOWN_MM, field.name, NAME_MM),) if field.name else ()
    # Cells are as low as can be: the value stands as high above the lower edge as its descenders need.
    base = y + height - descent_mm(capital) - FOOT_MM
    return Ink(texts=(*names, Text(x + PAD_MM, base, value, capital, bold=field.bold)))


def title_block(box: Box, facts: Furniture, number: int, count: int, paper: str) -> Ink:
    """The title block, filling a box."""
    rows = _rows(facts, number, count, paper)
    width, whole = box.x1_mm - box.x0_mm, box.y1_mm - box.y0_mm
    title_height = max(TITLE_ROW_MM, whole - ROW_MM * (len(rows) - 1))
    height = (whole - title_height) / (len(rows) - 1)
    parts: list[Ink] = [Ink((Polyline(((box.x0_mm, box.y0_mm), (box.x0_mm, box.y1_mm)), POWER_MM),))]
    y = box.y0_mm
    for i, row in enumerate(rows):
        x, high = box.x0_mm, height if i else title_height
        if i:
            parts.append(Ink((Polyline(((box.x0_mm, y), (box.x1_mm, y)), THIN_MM),)))
        for field in row:
            if x > box.x0_mm:
                parts.append(Ink((Polyline(((x, y), (x, y + high)), THIN_MM),)))
            parts.append(_field_ink(field, x, y, field.share * width, high))
            x += field.share * width
        y += high
    return gathered(parts)
