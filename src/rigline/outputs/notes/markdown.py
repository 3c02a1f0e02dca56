"""The notes as Markdown (CommonMark with the usual tables); the drawing stands beside it in files of its own."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import quote

from rigline.layout.text import printable
from rigline.outputs.notes.blocks import Block, Document, Paragraph, Points, Section, Sheet, Table, Ticks

_MARKS = re.compile(r"[\\`*_{}\[\]<>#|~&$@^]|:(?=//)|(?<=www)\.")
"""Characters that begin markup, mathematics, a mention or a link in some dialect."""
_STARTS = re.compile(r"^(?:[-+=]|\d+(?=[.)]))")
"""What begins a list or a line at the start of a block."""
BOX = "☐"
"""A box in a table, where a list's boxes are not to be had."""
SCREEN_ONLY = "The drawing is written into files of its own when these notes go to a file."


def plain(text: str) -> str:
    r"""A text in which nothing is taken for Markdown, HTML, mathematics or a link, on one line.

    >>> print(plain("a|b *c* $d$"), plain("- no list"), plain("1. no list"))
    a\|b \*c\* \$d\$ \- no list 1\. no list
    """
    one = _MARKS.sub(r"\\\g<0>", printable(text))
    return _STARTS.sub(lambda found: f"{found[0]}\\" if found[0][0].isdigit() else f"\\{found[0]}", one)


def notes_markdown(document: Document, pictures: Sequence[str] = ()) -> str:
    """The whole document.

    Args:
        document: The notes.
        pictures: File names of the sheets, as seen from the document; empty if there are none.
    """
    lines = [f"# Build notes: {plain(document.title)}", "", plain(" · ".join(document.facts)), ""]
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
    yield f"{'#' * level} {plain(section.title)}"
    yield ""
    if not pictures and any(isinstance(block, Sheet) for block in section.blocks):
        yield SCREEN_ONLY
        yield ""
    for block in section.blocks:
        yield from _block(block, level + 1, pictures)


def _block(block: Block, level: int, pictures: Mapping[str, str]) -> Iterator[str]:
    match block:
        case Paragraph():
            yield f"**{plain(block.text)}**" if block.strong else plain(block.text)
        case Points():
            yield from (f"- {plain(item)}" for item in block.items)
        case Ticks():
            yield from _head(block.title, block.about, level)
            yield from (
                f"- [ ] {f'**{plain(item)}**' if index in block.stops else plain(item)}"
                for index, item in enumerate(block.items)
            )
        case Table():
            yield from _head(block.title, block.about, level)
            yield from _table(block)
        case Sheet():
            if block.title not in pictures:
                return
            yield f"![{plain(block.title)}]({quote(pictures[block.title])})"
    yield ""


def _head(title: str, about: str, level: int) -> Iterator[str]:
    if title:
        # A heading that begins with a number is none of a list.
        yield f"{'#' * level} {plain(title)}"
        yield ""
    if about:
        yield plain(about)
        yield ""


def _table(block: Table) -> Iterator[str]:
    heads = [*([BOX] if block.tick else []), *block.heads, *([block.write] if block.write else [])]
    ruler = ["---:" if name in block.right else "---" for name in heads]
    yield _line(plain(name) for name in heads)
    yield _line(ruler)
    for row in block.rows:
        yield _line(plain(cell) for cell in (*([BOX] if block.tick else []), *row, *([""] if block.write else [])))
    if block.foot:
        yield _line(f"**{plain(cell)}**" if cell else "" for cell in (*([""] if block.tick else []), *block.foot))


def _line(cells: Iterator[str] | Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"
