"""The notes as one file for a phone and for paper: no network, no script needed.

The script only keeps ticks and readings on the device that they were made on; without it they last until the page is
closed. Each is kept under its own text, so that a tick does not outlive a changed expectation.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterator, Sequence
from importlib.resources import files

from rigline.outputs.notes.blocks import Block, Document, Paragraph, Points, Section, Sheet, Table, Ticks
from rigline.outputs.page.assets import font_css, policy
from rigline.outputs.page.listing import shown

_SHEET_SIZE = re.compile(r'<svg[^>]* width="([\d.]+mm)" height="([\d.]+mm)"')


def notes_html(document: Document) -> bytes:
    """The page."""
    style = font_css() + _asset("notes.css") + _print_css(document)
    script = _asset("notes.js")
    body = "\n".join(line for section in document.sections for line in _section(section))
    contents = "".join(f'<li><a href="#{one.id}">{shown(one.title)}</a></li>' for one in document.sections)
    text = (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy(style, script)}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>Build notes: {shown(document.title)}</title>\n<style>{style}</style>\n</head>\n"
        f'<body data-system="{_key(document.title)}">\n<header><p class="kind">Build notes</p>'
        f"<h1>{shown(document.title)}</h1>\n<p>{shown(' · '.join(document.facts))}</p>\n"
        f'<p class="result">Check: {shown(document.result)}</p></header>\n'
        f'<nav aria-label="Contents"><ol>{contents}</ol></nav>\n<main>\n{body}\n</main>\n'
        f"<footer>{shown(document.caution)}</footer>\n<script>{script}</script>\n</body>\n</html>\n"
    )
    return text.encode()


def _asset(name: str) -> str:
    return files("rigline.outputs.notes").joinpath(name).read_text(encoding="utf-8")


def _key(*texts: str) -> str:
    """A short name for what is ticked or written."""
    return hashlib.sha256("\0".join(texts).encode()).hexdigest()[:12]


def _print_css(document: Document) -> str:
    """Paper of the country for the text; a sheet of the drawing keeps its own size."""
    sheets = [block.svg for section in document.sections for block in section.blocks if isinstance(block, Sheet)]
    found = _SHEET_SIZE.search(sheets[0]) if sheets else None
    width, height = found.groups() if found else ("420mm", "297mm")
    foot = "font:7.5pt 'Liberation Sans',Arial,sans-serif;color:#4d5b58"
    return (
        f"@page{{size:{'letter' if document.letter else 'a4'};margin:14mm 14mm 16mm;"
        f"@bottom-left{{content:{json.dumps(document.caution)};{foot}}}"
        f"@bottom-right{{content:'Page ' counter(page) ' / ' counter(pages);{foot}}}}}\n"
        f"@page sheet{{size:{width} {height};margin:0;@bottom-left{{content:none}}@bottom-right{{content:none}}}}\n"
        f"@media print{{.sheet svg{{width:{width};height:{height}}}}}\n"
    )


def _section(section: Section) -> Iterator[str]:
    yield f'<section id="{section.id}"><h2>{shown(section.title)}</h2>'
    for block in section.blocks:
        yield _block(block, section.id)
    yield "</section>"


def _block(block: Block, section: str) -> str:
    match block:
        case Paragraph():
            return f"<p{_stop(block.strong)}>{shown(block.text)}</p>"
        case Points():
            return "<ul>" + "".join(f"<li>{shown(item)}</li>" for item in block.items) + "</ul>"
        case Ticks():
            return _ticks(block, section)
        case Table():
            return _table(block, section)
        case Sheet():
            return f'<div class="sheet" role="group" aria-label="{shown(block.title)}" tabindex="0">{block.svg}</div>'


def _stop(stops: bool) -> str:
    return ' class="stop"' if stops else ""


def _head(title: str, about: str) -> str:
    return (f"<h3>{shown(title)}</h3>" if title else "") + (f"<p>{shown(about)}</p>" if about else "")


def _ticks(block: Ticks, section: str) -> str:
    items = "".join(
        f"<li{_stop(index in block.stops)}><label>{_box(section, block.title, item)}"
        f"<span>{shown(item)}</span></label></li>"
        for index, item in enumerate(block.items)
    )
    return f'{_head(block.title, block.about)}<ul class="ticks">{items}</ul>'


def _box(*texts: str) -> str:
    return f'<input type="checkbox" data-key="{_key(*texts)}">'


def _table(block: Table, section: str) -> str:
    head = "".join(f'<th scope="col"{_side(name, block)}>{shown(name)}</th>' for name in block.heads)
    head = ('<th scope="col"><span class="spoken">Done</span></th>' if block.tick else "") + head
    head += f'<th scope="col" class="write">{shown(block.write)}</th>' if block.write else ""
    rows = "".join(_row(block, row, section) for row in block.rows)
    foot = f'<tfoot><tr class="foot">{_cells(block, block.foot)}</tr></tfoot>' if block.foot else ""
    return (
        f'{_head(block.title, block.about)}<div class="wide"><table><thead><tr>{head}</tr></thead>'
        f"<tbody>{rows}</tbody>{foot}</table></div>"
    )


def _row(block: Table, row: Sequence[str], section: str) -> str:
    name = shown(" ".join(row[:2]))
    box = f'<td class="box"><label>{_box(section, block.title, *row)}<span class="spoken">{name}</span></label></td>'
    field = (
        f'<td class="write" data-head="{shown(block.write)}"><input type="text" autocomplete="off" '
        f'aria-label="{shown(block.write)}: {name}" data-key="{_key(section, block.title, *row, block.write)}"></td>'
    )
    return f"<tr>{box if block.tick else ''}{_cells(block, row)}{field if block.write else ''}</tr>"


def _cells(block: Table, row: Sequence[str]) -> str:
    return "".join(
        f'<td{_side(name, block)} data-head="{shown(name)}">{shown(cell)}</td>'
        for name, cell in zip(block.heads, row, strict=True)
    )


def _side(name: str, block: Table) -> str:
    classes = " ".join(word for word, names in (("right", block.right), ("room", block.wide)) if name in names)
    return f' class="{classes}"' if classes else ""
