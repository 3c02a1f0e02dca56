"""A sound plan spoilt in one place must be found out there: each protective device left out, two ratings or ten times
too large, each bond and earth wire forgotten, each wire three and six sizes too thin, each single conductor landed on
the wrong pole, each pair crossed.

What the rules let pass is listed with the clause that makes it sound; the list is exact in both directions, so neither
a lost rule nor a new false alarm goes unseen.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from mutants.mutating import Mutant, Spoiler
from mutants.sound import SOUND

from rigline.checks.run import run_checks
from rigline.findings import Finding, Severity
from rigline.study.study import Study

SPECS = Path(__file__).parent.parent.parent / "specs"
DEMOS = sorted(path.stem for path in SPECS.glob("*.yaml") if path.stem != "faulty")
LEFTOVERS = ("dg-orphan", "dg-dangling-run")
"""That a part is left without its run is true of most mutants and says nothing about what was spoilt."""

every_demo = pytest.mark.parametrize("demo", DEMOS)


@cache
def spoiler(demo: str) -> Spoiler:
    """What spoils a demo."""
    return Spoiler(SPECS / f"{demo}.yaml")


@cache
def mutants(demo: str) -> dict[str, bool]:
    """Every mutant of a demo, and whether it is found out at its place."""
    before = {(finding.rule, finding.at) for finding in serious(spoiler(demo).study)}
    return {mutant.id: is_found_out(mutant, before) for mutant in spoiler(demo).mutants()}


def serious(study: Study) -> list[Finding]:
    """The dangers and faults of a system, without what is only left over."""
    findings = run_checks(study).findings
    return [f for f in findings if f.severity.rank <= Severity.FAULT.rank and f.rule not in LEFTOVERS]


def is_found_out(mutant: Mutant, before: set[tuple[str, tuple[str, ...]]]) -> bool:
    """Whether a danger or fault that the demo did not have names the spoilt place or its neighbours."""
    return any(
        (finding.rule, finding.at) not in before and mutant.places & {*finding.at, *finding.runs}
        for finding in serious(mutant.study())
    )


@every_demo
def test_every_spoilt_plan_is_found_out_or_sound_by_a_clause(demo: str) -> None:
    """Kill rate 100 %: what survives is on the list of sound mutants, and all of that survives."""
    found = mutants(demo)
    sound = {id for id in SOUND if id.startswith(f"{demo}: ")}
    missed = [id for id, is_found in found.items() if not is_found and id not in sound]
    unsound = len(found) - len(sound)
    print(f"{demo}: {unsound - len(missed)} of {unsound} unsound mutants found out, {len(sound)} sound by a clause")
    assert missed == []
    assert [id for id in sorted(sound) if found.get(id, True)] == []


@every_demo
def test_the_demo_itself_is_sound_when_its_sizes_are_written_down(demo: str) -> None:
    """Otherwise a mutant would be blamed for the demo's own fault."""
    assert [(finding.rule, finding.at) for finding in serious(spoiler(demo).study)] == []


def test_every_sound_mutant_is_said_with_its_clause() -> None:
    """No mutant is let pass without a reason, and none for a demo that is gone."""
    assert [id for id, clause in SOUND.items() if id.partition(":")[0] not in DEMOS or len(clause) < 20] == []
