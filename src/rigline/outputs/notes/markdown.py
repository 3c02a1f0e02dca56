"""The notes as Markdown (CommonMark with the usual tables); the drawing stands beside it in files of its own."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import quote

from rigline.layout.text import printable
from rigline.outputs.notes.blocks import Block, Document, Paragraph, Points, Section, Sheet, Table, Ticks

_MARKS = re.compile(r"[\\`*_{}\[\]<>#|~&$@^]|:(?=//)|(?<=www)\.")
"""Characters that begin markup, mathematics, a mention or a link in some dialect."""
_STARTS = re.compile(r"^(?:-(?=[\s-]|$)|\+(?=\s|$)|=|\d{1,9}(?=[.)](?:\s|$)))")
"""What begins a list or a line at the start of a block."""
BOX = "☐"
"""A box in a table, where a list's boxes are not to be had."""
SCREEN_ONLY = "The drawing is written into files of its own when these notes go to a file."


def plain(text: str) -> str:
    r"""A text at the start of a block in which nothing is taken for Markdown, HTML, mathematics or a link.

    >>> print(plain("a|b *c* $d$"), plain("- no list"), plain("1. no list"), plain("1.5 m"))
    a\|b \*c\* \$d\$ \- no list 1\. no list 1.5 m
    """
    return _STARTS.sub(lambda found: f"{found[0]}\\" if found[0][0].isdigit() else f"\\{found[0]}", within(text))


def within(text: str) -> str:
    """The same within a line, as in a heading or a cell, where no list and no rule can begin."""
    return _MARKS.sub(r"\\\g<0>", printable(text))


def notes_markdown(document: Document, pictures: Sequence[str] = ()) -> str:
    """The whole document.

    Args:
        document: The notes.
        pictures: File names of the sheets, as seen from the document; empty if there are none.
    """
    lines = [f"# Build notes: {within(document.title)}", "", plain(" · ".join(document.facts)), ""]
    lines += [f"Check: {plain(document.result)}", ""]
    named = _named(document.sections, pictures)
    for section in document.sections:
        lines += section_lines(section, 2, named)
    lines += [plain(document.caution)]
    return "\n".join(lines) + "\n"


def _named(sections: Sequence[Section], pictures: Sequence[str]) -> Mapping[str, str]:
    """Sheet -> file name."""
    sheets = [block.title for section in sections for block in section.blocks if isinstance(block, Sheet)]
    return dict(zip(sheets, pictures, strict=False))


def section_lines(section: Section, level: int, pictures: Mapping[str, str]) -> Iterator[str]:
    """One chapter, its heading at a level.

    Args:
        section: The chapter.
        level: 1 for a document's title.
        pictures: Title of a sheet -> its file name.
    """
    yield f"{'#' * level} {within(section.title)}"
    yield ""
    if not pictures and any(isinstance(block, Sheet) for block in section.blocks):
        yield SCREEN_ONLY
        yield ""
    for block in section.blocks:
        yield from _block(block, level + 1, pictures)


def _block(block: Block, level: int, pictures: Mapping[str, str]) -> Iterator[str]:
    match block:
        case Paragraph():
            yield f"**{within(block.text)}**" if block.strong else plain(block.text)
        case Points():
            yield from (f"- {plain(item)}" for item in block.items)
        case Ticks():
            yield from _head(block.title, block.about, level)
            yield from (
                f"- [ ] {f'**{within(item)}**' if index in block.stops else plain(item)}"
                for index, item in enumerate(block.items)
            )
        case Table():
            yield from _head(block.title, block.about, level)
            yield from _table(block)
        case Sheet():
            if block.title not in pictures:
                return
            yield f"![{within(block.title)}]({quote(pictures[block.title])})"
    yield ""


def _head(title: str, about: str, level: int) -> Iterator[str]:
    if title:
        yield f"{'#' * level} {within(title)}"
        yield ""
    if about:
        yield plain(about)
        yield ""


def _table(block: Table) -> Iterator[str]:
    heads = [*([BOX] if block.tick else []), *block.heads, *([block.write] if block.write else [])]
    ruler = ["---:" if name in block.right else "---" for name in heads]
    yield _line([within(name) for name in heads])
    yield _line(ruler)
    for row in block.rows:
        cells = (*([BOX] if block.tick else []), *row, *([""] if block.write else []))
        yield _line([within(cell) for cell in cells])
    if block.foot:
        yield _line([f"**{within(cell)}**" if cell else "" for cell in block.foot])


def _line(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"
