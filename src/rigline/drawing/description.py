"""What a file of a drawing says of itself: the description that every form carries, so that a file can be asked later.

An SVG has it as its `desc` element, and a page for a browser has that of every sheet in it. A PDF has it as its
subject, a PNG as a text chunk. The hash of the spec is part of it, whether or not a reader looks at the title block.
"""

from __future__ import annotations

import io
import re
import struct
import zlib
from html import unescape

_DESC = re.compile(r"<desc>([^<]*)</desc>")
_AFTER_HEADER = 8 + 25
"""Where the second chunk of a PNG begins: behind the signature and IHDR. Source: W3C PNG, 5.2 and 11.2.1."""
_KEYWORD = b"Description"
"""A predefined keyword. Source: W3C PNG, 11.3.3.1."""
_PLAIN = b"\0\0\0\0\0"
"""Not compressed, no language, no translated keyword. Source: W3C PNG, 11.3.3.4 (iTXt)."""


def described(svg: str) -> str:
    """The description of one sheet; empty if it has none.

    >>> described("<svg><desc>One-line diagram &amp; list.</desc></svg>")
    'One-line diagram & list.'
    """
    found = _DESC.search(svg)
    return unescape(found[1]) if found else ""


def with_text(png: bytes, text: str) -> bytes:
    """A PNG that carries a description."""
    data = b"iTXt" + _KEYWORD + _PLAIN + text.encode()
    chunk = struct.pack(">I", len(data) - 4) + data + struct.pack(">I", zlib.crc32(data))
    return png[:_AFTER_HEADER] + chunk + png[_AFTER_HEADER:]


def descriptions(content: bytes, form: str) -> list[str]:
    """What a file says of itself, sheet by sheet where it can; empty if it says nothing or is no such file.

    Args:
        content: The file's bytes.
        form: svg, pdf, png or html.
    """
    if form == "pdf":
        return _of_pdf(content)
    if form == "png":
        return _of_png(content)
    return [unescape(text) for text in _DESC.findall(content.decode("utf-8", "replace"))]


def _of_pdf(content: bytes) -> list[str]:
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    try:
        metadata = PdfReader(io.BytesIO(content)).metadata
        return [str(metadata.subject)] if metadata and metadata.subject else []
    except (PyPdfError, OSError, ValueError):
        return []


def _of_png(content: bytes) -> list[str]:
    """Walks the chunks; a file that is cut off ends the walk."""
    position = 8
    while position + 12 <= len(content):
        length, kind = struct.unpack(">I4s", content[position : position + 8])
        data = content[position + 8 : position + 8 + length]
        if kind == b"iTXt" and data.startswith(_KEYWORD + _PLAIN):
            return [data.removeprefix(_KEYWORD + _PLAIN).decode("utf-8", "replace")]
        position += 12 + length
    return []
