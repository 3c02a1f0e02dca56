"""Lists on a sheet: wrapped text and numbered findings, stacked in columns as far as there is room."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from rigline.drawing.flags import FLAG_HALF_MM, flag_ink
from rigline.drawing.furniture import ChangeLine, FindingLine, RevisionLine
from rigline.drawing.ink import Ink, gathered, moved
from rigline.layout.plan import CHANGE, Text
from rigline.layout.text import ascent_mm, descent_mm, printable, shortened, text_width_mm

LEADING = 0.4
"""Free space between two lines, over the height of capitals. Source: common practice, half a letter or less."""
GAP_MM = 0.8
"""Free space between two paragraphs. Our own choice."""
REVISION_ROOM = 3.0
"""Width of the column for the revision index, over the height of capitals. Our own choice: three letters fit."""
DATE_ROOM = 9.0
"""The same for the date. Our own choice: 2026-11-20 fits."""
FLAG_ROOM_MM = 2 * FLAG_HALF_MM + 1.2
"""From the left edge of a list to the text beside its flags."""


class Block(Struct, frozen=True):
    """A piece of a list: its ink from (0, 0) downwards, and its height."""

    ink: Ink
    height_mm: float


def wrapped(text: str, room_mm: float, capital_mm: float, bold: bool = False) -> list[str]:
    """The text in lines no wider than the room; a word that is too wide by itself is cut.

    >>> wrapped("Plan only. Local codes decide.", 30.0, 2.5)
    ['Plan only. Local', 'codes decide.']
    """
    lines: list[str] = []
    for word in printable(text).split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width_mm(longer, capital_mm, bold) <= room_mm:
            lines[-1] = longer
        else:
            lines.append(shortened(word, room_mm, capital_mm, bold))
    return lines


def line_pitch_mm(capital_mm: float) -> float:
    """From one baseline to the next."""
    return ascent_mm(capital_mm) + descent_mm(capital_mm) + LEADING * capital_mm


def paragraph(text: str, room_mm: float, capital_mm: float, bold: bool = False, x_mm: float = 0.0) -> Block:
    """Wrapped text as a block."""
    pitch = line_pitch_mm(capital_mm)
    lines = wrapped(text, room_mm - x_mm, capital_mm, bold)
    texts = tuple(
        Text(x_mm, ascent_mm(capital_mm) + i * pitch, line, capital_mm, bold=bold) for i, line in enumerate(lines)
    )
    return Block(Ink(texts=texts), len(lines) * pitch - LEADING * capital_mm + GAP_MM)


def finding_block(finding: FindingLine, room_mm: float, capital_mm: float) -> Block:
    """A finding with its flag; the first line stands level with the flag's number."""
    flag = flag_ink(finding.number, finding.severity, FLAG_HALF_MM, FLAG_HALF_MM, finding.waived)
    return _flagged(flag, f"{finding.severity.capitalize()}: {finding.text}", room_mm, capital_mm)


def change_block(change: ChangeLine, room_mm: float, capital_mm: float) -> Block:
    """A change with its triangle, or with its bare number if it has none on the drawing."""
    flag = flag_ink(change.number, CHANGE, FLAG_HALF_MM, FLAG_HALF_MM)
    return _flagged(flag if change.marked else Ink(texts=flag.texts), change.text, room_mm, capital_mm)


def _flagged(flag: Ink, text: str, room_mm: float, capital_mm: float) -> Block:
    words = paragraph(text, room_mm, capital_mm, x_mm=FLAG_ROOM_MM)
    middle = FLAG_HALF_MM
    down = middle + capital_mm / 2 - ascent_mm(capital_mm)
    height = max(2 * FLAG_HALF_MM + GAP_MM, words.height_mm + down)
    return Block(flag + moved(words.ink, 0.0, down), height)


def revision_block(line: RevisionLine, room_mm: float, capital_mm: float) -> Block:
    """A row of the table of revisions: index, date, and what changed with who did it, wrapped in its column."""
    columns = (0.0, REVISION_ROOM * capital_mm, (REVISION_ROOM + DATE_ROOM) * capital_mm)
    by = f" ({line.by})" if line.by else ""
    words = paragraph(f"{line.change}{by}", room_mm, capital_mm, x_mm=columns[2])
    index = shortened(line.revision, columns[1] - 1.0, capital_mm, bold=True)
    date = shortened(line.date, columns[2] - columns[1] - 1.0, capital_mm)
    base = ascent_mm(capital_mm)
    cells = (Text(0.0, base, index, capital_mm, bold=True), Text(columns[1], base, date, capital_mm))
    return Block(Ink(texts=cells) + words.ink, words.height_mm)


def stacked(blocks: Iterable[Block], x_mm: float, y_mm: float) -> Ink:
    """Blocks one below the other; the caller has made sure that they fit."""
    parts, y = [], y_mm
    for block in blocks:
        parts.append(moved(block.ink, x_mm, y))
        y += block.height_mm
    return gathered(parts)


def fitting(blocks: Sequence[Block], room_mm: float) -> int:
    """How many blocks fit from the first on."""
    used = 0.0
    for i, block in enumerate(blocks):
        used += block.height_mm
        if used - GAP_MM > room_mm:
            return i
    return len(blocks)


def in_columns(blocks: Sequence[Block], room_mm: float) -> list[list[Block]]:
    """Blocks dealt into columns of a height; a block higher than a column has one to itself."""
    columns: list[list[Block]] = []
    rest = list(blocks)
    while rest:
        count = max(1, fitting(rest, room_mm))
        columns.append(rest[:count])
        rest = rest[count:]
    return columns
