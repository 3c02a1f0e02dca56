"""What reaches the console: every text can be shown, and what another program reads is UTF-8.

A console, or a pipe on Windows, may know neither Ω nor ². What it can't show is written in its place, so that no report
ends in the middle; the words of the spec's own language lose their accents at most.
"""

from __future__ import annotations

import codecs
import io
import sys
import unicodedata

HANDLER = "rigline-readable"
"""Name under which Python knows how we replace what an encoding lacks."""

READABLE = {
    "°": "deg", "²": "2", "³": "3", "Ω": "ohm", "ω": "ohm", "μ": "u", "µ": "u", "φ": "phi", "√": "sqrt",
    "∞": "infinite", "×": "x", "·": ".", "⋅": ".", "→": "->", "≤": "<=", "≥": ">=", "±": "+-", "−": "-", "‐": "-",
    "–": "-", "—": "-", "…": "...", "′": "'", "″": '"', "’": "'", "“": '"', "”": '"', "€": "EUR", "£": "GBP",
    "¥": "JPY", "─": "-", "│": "|", "├": "|", "└": "+", "☐": "[ ]", "ß": "ss", "ø": "o", "Ø": "O", "æ": "ae",
    "Æ": "AE", "ł": "l", "Ł": "L",
}  # fmt: skip
"""Sign -> how it is written where it is missing. Units stay such that a spec may be written with them."""


def readable(text: str) -> str:
    """A text in ASCII: signs in words, letters without accents, the rest as escapes.

    >>> readable("2 mΩ, 35 mm², 4 µA, Vorzelt für Küche → ж")
    '2 mohm, 35 mm2, 4 uA, Vorzelt fur Kuche -> \\\\u0436'
    """
    return "".join(char if char.isascii() else _ascii(char) for char in text)


def _ascii(char: str) -> str:
    if char in READABLE:
        return READABLE[char]
    plain = unicodedata.normalize("NFKD", char).encode("ascii", "ignore").decode()
    return plain or char.encode("ascii", "backslashreplace").decode()


def _replace(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return readable(error.object[error.start : error.end]), error.end


def prepare() -> None:
    """Let stdout and stderr replace what they can't show, the name of a file that no text can hold included."""
    codecs.register_error(HANDLER, _replace)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=HANDLER, newline="\n")


def write_result(text: str, form: str = "text") -> None:
    """Write a result to stdout; whatever is not text for people is UTF-8, whatever the console's encoding."""
    stream = sys.stdout
    if form == "text" or not isinstance(stream, io.TextIOWrapper) or codecs.lookup(stream.encoding).name == "utf-8":
        stream.write(text)
        return
    stream.flush()
    stream.buffer.write(text.encode("utf-8", HANDLER))
    stream.buffer.flush()
