"""Whatever a hurried hand spoils in a sound plan stands in the list of changes at its own place."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from mutants.mutating import Spoiler

from rigline.changes.compare import compare
from rigline.checks.run import Report

SPECS = Path(__file__).parent.parent.parent / "specs"
DEMOS = sorted(path.stem for path in SPECS.glob("*.yaml") if path.stem != "faulty")
KINDS = {
    "remove": {"removed", "re-routed"}, "raise": {"re-rated"}, "shrink": {"re-sized"}, "swap": {"re-routed"},
    "cross": {"re-routed", "added"}, "blow": {"re-rated"},
}  # fmt: skip
"""First word of a mutant -> the kinds of the changes that it is."""


@cache
def spoiler(demo: str) -> Spoiler:
    """What spoils a demo."""
    return Spoiler(SPECS / f"{demo}.yaml")


@pytest.mark.parametrize("demo", DEMOS)
def test_every_mutant_is_listed_at_its_place(demo: str) -> None:
    """The rules are left out here: another test holds what they find."""
    before = spoiler(demo).study
    silent = Report(before.system, (), (), 0, {})
    missed = []
    for mutant in spoiler(demo).mutants():
        found = compare(before, mutant.study(), silent, silent)
        word, at = mutant.id.split(": ")[1].replace("blow up", "blow").split()[:2]
        at = mutant.id.split()[-1] if word == "swap" else at
        told = [change for change in found.changes if set(change.kinds) & KINDS[word] and change.id == at]
        others = [change.id for change in found.changes if not set(change.kinds) <= KINDS[word]]
        missed += [mutant.id] if not told or others else []

    assert missed == []
