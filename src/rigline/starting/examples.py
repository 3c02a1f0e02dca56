"""The commented examples that a spec can begin from; each lies beside this file and draws and passes as it stands."""

from __future__ import annotations

import re
from importlib.resources import files
from typing import Final

NAMES: Final = ("trailer", "boat", "cabin", "blank")


def example_text(name: str, file: str) -> str:
    """An example's text.

    Args:
        name: One of `NAMES`.
        file: The name the spec will have, for the commands in its head.
    """
    text = files("rigline.starting").joinpath("specs", f"{name}.yaml").read_text(encoding="utf-8")
    return text.replace("FILE", file).replace("STEM", re.sub(r"\.[^.]*$", "", file))
