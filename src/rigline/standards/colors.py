"""Colours of conductors by their function, as each rule set has them, and the letters that name a colour.

Rule sets contradict each other: black is the negative on a boat, the live wire of American AC, and a second line in
Europe. So a drawing prints the letters of each conductor's colour, and never tells anything by colour alone.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache
from typing import Any

from msgspec import Struct

from rigline.standards.tables import DATA, Sure

FUNCTIONS = ("dc_positive", "dc_negative", "dc_negative_beside_black", "line_1", "line_2", "neutral", "earth")
"""What a conductor is for."""
JOIN = "+"
"""Between the letters of several conductors. Source: IEC 60757 (from memory)."""
_OF_POLE = {"+": "dc_positive", "L1": "line_1", "L2": "line_2", "N": "neutral", "PE": "earth"}


class Letters(Struct, frozen=True):
    """A colour by its letters."""

    code: str
    word: str
    ink: str
    """How it is drawn on paper, as #RRGGBB."""
    stripe: str = ""
    """Second ink of a two-coloured insulation."""


class Color(Struct, frozen=True):
    """The colour that a rule set has for a function."""

    letters: str
    source: str
    sure: Sure


def _file(name: str) -> dict[str, Any]:
    return tomllib.loads((DATA / "colors" / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def letters() -> dict[str, Letters]:
    """Every colour by its letters."""
    return {code: Letters(code, **fields) for code, fields in _file("letters")["letters"].items()}


@cache
def colors_of(profile: str) -> dict[str, Color]:
    """A rule set's colour for each function.

    Raises:
        KeyError: no such profile.
    """
    return {function: Color(*row) for function, row in _file("profiles")[profile].items()}


def color_of_pole(profile: str, pole: str, beside_ac: bool, grounded: bool = True) -> Color | None:
    """The colour of a conductor by its pole; None for control leads and links, which have no colour of their own.

    Args:
        pole: + - L1 L2 N PE.
        beside_ac: Whether AC is on board, so that a black negative could be taken for a line.
        grounded: Whether a pole of the DC system is bonded.

    Example:
        >>> color_of_pole("us-boat", "-", beside_ac=True).letters, color_of_pole("eu-caravan", "L1", True).letters
        ('YE', 'BN')
    """
    colors = colors_of(profile)
    if pole == "-":
        if not grounded and "dc_negative_ungrounded" in colors:
            return colors["dc_negative_ungrounded"]
        beside_black = beside_ac and colors["line_1"].letters == "BK"
        return colors["dc_negative_beside_black" if beside_black else "dc_negative"]
    return colors[_OF_POLE[pole]] if pole in _OF_POLE else None


def letters_of_words(text: str) -> str | None:
    """The letters of colours that an author named in words; None if it names anything else.

    >>> letters_of_words("red and black"), letters_of_words("green/yellow"), letters_of_words("white marked red")
    ('RD+BK', 'GNYE', None)
    """
    words = [word for word in re.split(r"[\s,/+&-]+", text.casefold()) if word not in ("", "and")]
    by_word = {one.word: one.code for one in letters().values()} | {"gray": "GY", "purple": "VT"}
    if set(words) == {"green", "yellow"}:
        return "GNYE"
    codes = [by_word.get(word, word.upper()) for word in words]
    return JOIN.join(codes) if codes and all(code in letters() for code in codes) else None
