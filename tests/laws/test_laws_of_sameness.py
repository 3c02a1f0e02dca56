"""The same system gives the same answer, wherever and however often it is asked, and in whatever order it is listed."""

from __future__ import annotations

import json
import os
import random
import re
import subprocess
import sys
from pathlib import Path

import pytest
from fuzz.mutating import text_of
from laws.every_output import every_output
from ruamel.yaml import YAML

ROOT = Path(__file__).parent.parent.parent
BOAT = ROOT / "specs" / "boat.yaml"
SURROUNDINGS = (
    {"PYTHONHASHSEED": "1", "LC_ALL": "C", "TZ": "UTC", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
    {"PYTHONHASHSEED": "77", "LC_ALL": "C.UTF-8", "TZ": "Pacific/Auckland"},
)
"""Hash seed, locale, time zone."""
LISTED = ("parts", "page", "size", "schedule", "labels", "notes")
"""Outputs that list things in the order of the file, which is the author's own."""
LINE = re.compile(r"(?<=:)\d+|(?i:line|column)\D{1,4}\d+")
DIGEST = re.compile(r"[0-9a-f]{8,64}")


def test_every_output_is_the_same_whatever_the_hash_seed_the_locale_and_the_time_zone() -> None:
    digests = [_digests(surroundings) for surroundings in SURROUNDINGS]
    assert {name for name, digest in digests[0].items() if digests[1][name] != digest} == set()
    assert len(digests[0]) > 40


def _digests(surroundings: dict[str, str]) -> dict[str, str]:
    command = [sys.executable, str(Path(__file__).with_name("every_output.py")), str(BOAT)]
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT / "tests"), os.environ.get("PYTHONPATH", "")])
    ended = subprocess.run(
        command, capture_output=True, check=True, env={**os.environ, "PYTHONPATH": paths, **surroundings}
    )
    digests: dict[str, str] = json.loads(ended.stdout)
    return digests


@pytest.mark.parametrize("demo", ["trailer", "boat"])
def test_the_order_of_components_and_places_changes_no_finding_no_number_and_no_drawing(demo: str) -> None:
    spec = dict(YAML(typ="safe", pure=True).load((ROOT / "specs" / f"{demo}.yaml").read_text(encoding="utf-8")))
    shuffled = {key: _shuffled(value) if key in ("components", "places") else value for key, value in spec.items()}
    one, other = (every_output(text_of(each)) for each in (spec, shuffled))
    assert [name for name in one if not name.startswith(LISTED) and _plain(one[name]) != _plain(other[name])] == []
    assert sorted(re.findall(r"\w+", one["parts csv"])) == sorted(re.findall(r"\w+", other["parts csv"]))


def _shuffled(section: dict[str, object]) -> dict[str, object]:
    entries = list(section.items())
    random.Random(1).shuffle(entries)
    return dict(entries)


def _plain(output: str) -> str:
    """An output without what says which file and which line it was."""
    return DIGEST.sub(
        "", re.sub(r"(?<=:)\d+|(?i:line)\D{1,4}\d+|\"(?:line|column|startLine|startColumn)\": \d+", "", output)
    )
