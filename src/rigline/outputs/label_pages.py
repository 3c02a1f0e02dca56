"""Labels on pages: sheets of labels as stationers sell them, or one strip of tape or heat-shrink tube a page."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from functools import cache
from importlib.resources import files

from msgspec import Struct, convert

from rigline.drawing.ink import Ink
from rigline.drawing.render import render_ink
from rigline.drawing.symbol import Box
from rigline.errors import CommandError
from rigline.layout.plan import SheetSize, Text
from rigline.layout.text import descent_mm, shortened, text_width_mm
from rigline.outputs.labels import Label

MARGIN_MM = 0.9
"""Room between a label's edge and its letters; printers miss by about a millimetre. Common practice."""
CAPITALS_MM = (5.0, 3.5, 2.5, 1.8)
"""Heights of capitals, the largest first. Source: ISO 3098 series (from memory)."""
LINE_PITCH = 1.6
"""From baseline to baseline, in heights of a capital. Our own choice."""


class Medium(Struct, frozen=True):
    """What labels are printed on, in millimetres."""

    title: str
    page: tuple[float, float]
    label: tuple[float, float]
    columns: int
    rows: int
    first: tuple[float, float]
    """Top left corner of the first label."""
    pitch: tuple[float, float]

    @property
    def count(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[float, float]:
        """Top left corner of a label, counted along the rows from 0."""
        row, column = divmod(place, self.columns)
        return (self.first[0] + column * self.pitch[0], self.first[1] + row * self.pitch[1])


@cache
def media() -> dict[str, Medium]:
    """All that labels can be printed on, by name."""
    text = files("rigline.outputs").joinpath("label_media.toml").read_text(encoding="utf-8")
    return {name: convert(entry, Medium) for name, entry in tomllib.loads(text).items()}


def label_pages(found: Sequence[Label], medium: Medium, start: int = 1, outlines: bool = False) -> list[str]:
    """The pages as SVG, true to scale.

    Args:
        found: The labels, in the order in which they are wanted.
        start: Number of the first free label on the first page.
        outlines: Prints the labels' edges too, to hold against the sheet.

    Raises:
        CommandError: `start` is no place on the sheet.
    """
    if not 1 <= start <= medium.count:
        raise CommandError(f"--start {start}: a page has the labels 1 to {medium.count}")
    places: list[Label | None] = [*[None] * (start - 1), *found]
    pages = [places[at : at + medium.count] for at in range(0, len(places), medium.count)]
    size = SheetSize("labels", *medium.page)
    return [_page(page, number, len(pages), medium, size, outlines) for number, page in enumerate(pages, 1)]


def _page(
    page: Sequence[Label | None], number: int, count: int, medium: Medium, size: SheetSize, outlines: bool
) -> str:
    parts = []
    for place, label in enumerate(page):
        if label is not None:
            corner = medium.corner(place)
            edge = _edge(corner, medium) if outlines else ()
            parts.append((label.name, Ink(edge, label_words(label, corner, medium.label))))
    return render_ink(size, f"Wire labels, page {number} of {count}", medium.title, parts)


def _edge(corner: tuple[float, float], medium: Medium) -> tuple[Box, ...]:
    end = (corner[0] + medium.label[0], corner[1] + medium.label[1])
    return (Box(corner, end, width_mm=0.13, fill="none"),)


def label_words(label: Label, corner: tuple[float, float], size: tuple[float, float]) -> tuple[Text, ...]:
    """The lines as large as the label allows, its name in bold; lines that don't fit at the smallest size go."""
    room_x, room_y = size[0] - 2 * MARGIN_MM, size[1] - 2 * MARGIN_MM
    ways = ((lines, capital) for lines in (label.lines, label.narrow_lines) for capital in CAPITALS_MM)
    fitting = (way for way in ways if _fits(*way, room_x, room_y))
    lines, capital = next(fitting, (label.narrow_lines, CAPITALS_MM[-1]))
    shown = next(lines[:count] for count in range(len(lines), 0, -1) if count == 1 or _height(count, capital) <= room_y)
    height = _height(len(shown), capital)
    top = corner[1] + size[1] / 2 - height / 2
    return tuple(
        Text(
            corner[0] + MARGIN_MM,
            top + capital * (1 + LINE_PITCH * row),
            shortened(line, room_x, capital, bold=row == 0),
            capital,
            bold=row == 0,
        )
        for row, line in enumerate(shown)
    )


def _fits(lines: Sequence[str], capital: float, room_x: float, room_y: float) -> bool:
    wide = max(text_width_mm(line, capital, bold=row == 0) for row, line in enumerate(lines))
    return _height(len(lines), capital) <= room_y and wide <= room_x


def _height(lines: int, capital: float) -> float:
    """From the head of the first line to the foot of the last one."""
    return capital * (1 + LINE_PITCH * (lines - 1)) + descent_mm(capital)
