"""The forms in which a result can be written, by name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar

from rigline.errors import CommandError

Result = TypeVar("Result")


def writer(writers: Mapping[str, Callable[[Result], str]], form: str) -> Callable[[Result], str]:
    """What writes a form.

    Raises:
        CommandError: There is no such form.
    """
    if form not in writers:
        raise CommandError(f"there is no form {form}; give {', '.join(writers)}")
    return writers[form]
