"""One spec for each number: made systems and the project's own specs, some sound, most broken."""

from __future__ import annotations

import io
import json
from functools import cache
from pathlib import Path
from random import Random

from fuzz.mutating import broken_bytes, bytes_of, mutated, text_of
from fuzz.systems import Spec, made_system
from ruamel.yaml import YAML

from rigline.checks.registry import all_checks
from rigline.spec.reading import Syntax

ROOT = Path(__file__).parent.parent.parent
SOUND_SHARE, MADE_SHARE, BYTES_SHARE = 0.1, 0.5, 0.25
"""How many are left whole, how many are made by rule, and how many are broken in their bytes."""
JSON_SHARE = 0.5
"""How many are read as JSON, which takes less time than YAML; what follows is the same."""
KINDS_ATTACHED, MOST_MUTATIONS = (1, 2, 4), (1, 1, 2, 4)
"""Small systems with few breaks find more faults in the same time than large ones with many."""


@cache
def seeds() -> tuple[bytes, ...]:
    """The demo specs, the cases from practice, and the examples of every rule."""
    files = (*sorted((ROOT / "specs").glob("*.yaml")), *sorted((ROOT / "tests" / "cases").rglob("*.yaml")))
    examples = [text.encode() for check in all_checks() for text in (check.example.spec, check.example.failing_spec)]
    return (*(file.read_bytes() for file in files), *examples)


@cache
def _plain(index: int) -> Spec:
    return dict(YAML(typ="safe", pure=True).load(io.BytesIO(seeds()[index])))


def specimen(number: int) -> tuple[bytes, Syntax]:
    """The spec of a number, always the same: its bytes, and how they are to be read."""
    chance = Random(number)
    whole = chance.random() < SOUND_SHARE
    made = chance.random() < MADE_SHARE
    in_bytes = chance.random() < BYTES_SHARE
    index = chance.randrange(len(seeds()))
    if not made and (whole or in_bytes):
        return seeds()[index] if whole else broken_bytes(seeds()[index], chance), "yaml"
    spec = made_system(chance, chance.choice(KINDS_ATTACHED)) if made else _plain(index)
    spec = spec if whole else mutated(spec, chance, chance.choice(MOST_MUTATIONS))
    if chance.random() < JSON_SHARE:
        syntax: Syntax = "json"
        data = bytes_of(json.dumps(spec, ensure_ascii=False, default=str))
    else:
        data, syntax = bytes_of(text_of(spec)), "yaml"
    return (broken_bytes(data, chance) if in_bytes and not whole else data), syntax
