"""The notes as a piece of HTML for somebody else's page, as a notebook's: to read, with nothing to tick or to write.

It has no script and no style sheet of its own; everything from a spec is shown as text, never as markup.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rigline.outputs.notes.blocks import Block, Document, Paragraph, Points, Sheet, Table, Ticks
from rigline.outputs.page.listing import shown


def notes_fragment(document: Document) -> str:
    """Every chapter below each other."""
    return f'<div class="rigline">{"".join(_parts(document))}</div>'


def _parts(document: Document) -> Iterator[str]:
    yield f"<h3>{shown(f'Build notes: {document.title}')}</h3>"
    yield f"<p>{shown(' · '.join(document.facts))}</p><p>{shown(f'Check: {document.result}')}</p>"
    for section in document.sections:
        yield f"<h4>{shown(section.title)}</h4>"
        yield from (_block(block) for block in section.blocks)
    yield f"<p>{shown(document.caution)}</p>"


def _block(block: Block) -> str:
    match block:
        case Paragraph():
            return f"<p><strong>{shown(block.text)}</strong></p>" if block.strong else f"<p>{shown(block.text)}</p>"
        case Points():
            return _items("ul", block.items)
        case Ticks():
            return _head(block.title, block.about) + _items("ol", block.items)
        case Table():
            return _table(block)
        case Sheet():
            return f'<div style="overflow-x:auto;background:white">{block.svg}</div>'


def _items(tag: str, items: Sequence[str]) -> str:
    return f"<{tag}>{''.join(f'<li>{shown(item)}</li>' for item in items)}</{tag}>"


def _head(title: str, about: str) -> str:
    return (f"<h5>{shown(title)}</h5>" if title else "") + (f"<p>{shown(about)}</p>" if about else "")


def _table(block: Table) -> str:
    rows = [*block.rows, *([block.foot] if block.foot else [])]
    lines = [_line(block.heads, "th"), *(_line(row, "td") for row in rows)]
    return f"{_head(block.title, block.about)}<table>{''.join(lines)}</table>"


def _line(cells: Sequence[str], tag: str) -> str:
    return f"<tr>{''.join(f'<{tag}>{shown(cell)}</{tag}>' for cell in cells)}</tr>"
