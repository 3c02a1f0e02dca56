"""Ids in the order in which people count: F2 before F10. It decides wherever the order of a file says nothing."""

from __future__ import annotations

import re

NaturalKey = tuple[tuple[tuple[str, int], ...], str]


def natural(text: str) -> NaturalKey:
    """What to sort a text by.

    >>> sorted(["F10", "f2", "F2", "12V"], key=natural)
    ['12V', 'F2', 'f2', 'F10']
    """
    return tuple((word, int(digits or 0)) for word, digits in re.findall(r"(\D*)(\d*)", text.casefold())), text
