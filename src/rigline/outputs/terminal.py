"""Colours a report for a terminal. The words stay as they are; colour only adds."""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TextIO

from rigline.outputs.text import Line, Role, plain

STYLES: dict[Role, str] = {
    "danger": "bold white on red",
    "fault": "bold red",
    "question": "bold yellow",
    "advice": "bold cyan",
    "heading": "bold",
    "caution": "yellow",
    "source": "dim",
}
"""What a line is -> how it looks."""


def wants_colour(stream: TextIO) -> bool:
    """Whether a stream is a terminal whose user has not asked for plain text (NO_COLOR set to anything)."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def write_lines(lines: Iterable[Line], stream: TextIO) -> None:
    """Write a report, in colour on a terminal."""
    if not wants_colour(stream):
        stream.write(plain(lines))
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(file=stream, highlight=False, soft_wrap=True)
    for line in lines:
        console.print(Text(line.text, STYLES.get(line.role, "")))
