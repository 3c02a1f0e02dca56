"""One spec for each number: made systems and the project's own specs, some sound, most broken."""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path
from random import Random

from fuzz.mutating import broken_bytes, bytes_of, mutated, text_of
from fuzz.systems import Spec, made_system
from ruamel.yaml import YAML

from rigline.checks.registry import all_checks

ROOT = Path(__file__).parent.parent.parent
SOUND_SHARE, MADE_SHARE, BYTES_SHARE = 0.1, 0.5, 0.25
"""How many are left whole, how many are made by rule, and how many are broken in their bytes."""


@cache
def seeds() -> tuple[bytes, ...]:
    """The demo specs, the cases from practice, and the examples of every rule."""
    files = (*sorted((ROOT / "specs").glob("*.yaml")), *sorted((ROOT / "tests" / "cases").rglob("*.yaml")))
    examples = [text.encode() for check in all_checks() for text in (check.example.spec, check.example.failing_spec)]
    return (*(file.read_bytes() for file in files), *examples)


@cache
def _plain(index: int) -> Spec:
    return dict(YAML(typ="safe", pure=True).load(io.BytesIO(seeds()[index])))


def specimen(number: int) -> bytes:
    """The spec of a number, always the same."""
    chance = Random(number)
    whole = chance.random() < SOUND_SHARE
    made = chance.random() < MADE_SHARE
    index = chance.randrange(len(seeds()))
    if not made and (whole or chance.random() < BYTES_SHARE):
        return seeds()[index] if whole else broken_bytes(seeds()[index], chance)
    spec = made_system(chance, chance.choice((1, 2, 4, 8))) if made else _plain(index)
    data = bytes_of(text_of(spec if whole else mutated(spec, chance)))
    return broken_bytes(data, chance) if not whole and chance.random() < BYTES_SHARE else data
