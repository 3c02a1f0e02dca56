"""The terms that a beginner meets, from the data file beside this one."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from msgspec import Struct

FILE = Path(__file__).with_name("glossary.toml")


class Term(Struct, frozen=True):
    """One term with its other names, its meaning and where to read on."""

    term: str
    meaning: str
    also: tuple[str, ...] = ()
    see: tuple[str, ...] = ()


@cache
def terms() -> tuple[Term, ...]:
    """Every term, in the order of the file."""
    entries = tomllib.loads(FILE.read_text(encoding="utf-8"))["terms"]
    return tuple(Term(e["term"], e["meaning"], tuple(e.get("also", ())), tuple(e.get("see", ()))) for e in entries)
