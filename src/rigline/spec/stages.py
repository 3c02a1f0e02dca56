"""When something is built: 1, 2, 3, ... or later."""

from __future__ import annotations

from typing import Final

from rigline.spec.limits import LARGEST_STAGE

LATER: Final = "later"
"""The stage of what is planned without a date; it comes after every number."""

STAGE_RULE: Final = f"a stage is 1, 2, ... ({LARGEST_STAGE} at most) or {LATER}"


def stage_of(text: str) -> str | None:
    """The stage that a text names, in one spelling; None if it names none.

    Example:
        >>> stage_of(" 02"), stage_of("Later"), stage_of("soon")
        ('2', 'later', None)
    """
    plain = text.strip().casefold()
    if plain == LATER:
        return LATER
    is_number = plain.isascii() and plain.isdigit() and len(plain) <= len(str(LARGEST_STAGE))
    return str(int(plain)) if is_number and int(plain) >= 1 else None
