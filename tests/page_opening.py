"""What the tests of the page share: sizes of screens, and the drawing of a spec made once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

from playwright.sync_api import Page, ViewportSize

from rigline import Drawing, draw, read

ROOT = Path(__file__).parent.parent
DESKTOP = ViewportSize(width=1440, height=900)
PHONE = ViewportSize(width=390, height=844)
"""A common phone, in CSS pixels."""

Open = Callable[..., Page]
"""Opens the page of a spec; `phone=True` on a phone, further options as for a browser's context."""


@cache
def drawing(spec: Path) -> Drawing:
    """The drawing of a spec; made once, since many tests look at it."""
    return draw(read(spec))
