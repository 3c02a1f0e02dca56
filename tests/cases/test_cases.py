"""Small systems that people wired, asked about or lost, and what a careful electrician says of each.

The clause that decides a case stands in its text. A fault that is missed and a sound system that is blamed are both
wrong; both are asserted.
"""

from __future__ import annotations

from functools import cache

import pytest
from helpers import study_of
from reading_cases import FOLDER, Expected, Variant, variants_of

from rigline.checks.run import Report, run_checks
from rigline.errors import SpecError
from rigline.findings import Finding
from rigline.study.study import Study

SPECS = sorted(FOLDER.glob("*.yaml"))
EVERY = [variant for path in SPECS for variant in variants_of(path)]
VARIANTS = [variant for variant in EVERY if not variant.refused]
REFUSED = [variant for variant in EVERY if variant.refused]
JUDGED = ("danger", "fault", "question")
PERCENT_POINTS = 0.15
"""How near a drop computed by hand must come: tables of resistance differ by their temperature and rounding."""

every_variant = pytest.mark.parametrize("variant", VARIANTS, ids=lambda variant: variant.name)


@cache
def _judged(text: str) -> tuple[Study, Report]:
    numbers = study_of(text)
    return numbers, run_checks(numbers)


def _digits(value: float | None) -> str:
    if value is None:
        return "none"
    return "any current" if value == float("inf") else f"{value:.3g}"


def _as_expected(finding: Finding, wanted: Expected) -> Expected:
    """A finding in the words of a case, with as much of it as the case tells."""
    numbers = _digits(finding.found), _digits(finding.limit), finding.unit
    return Expected(
        finding.severity.value,
        finding.rule,
        finding.at if wanted.at else (),
        finding.runs if wanted.runs else (),
        numbers if wanted.numbers else None,
    )


def _matches(finding: Finding, wanted: Expected) -> bool:
    return _as_expected(finding, wanted) == wanted


def _line(finding: Finding) -> str:
    places, runs = ",".join(finding.at), ",".join(finding.runs)
    numbers = (
        f": {_digits(finding.found)} of {_digits(finding.limit)} {finding.unit}" if finding.limit is not None else ""
    )
    return f"{finding.severity} {finding.rule} {places}{' on ' + runs if runs else ''}{numbers}"


@every_variant
def test_all_that_is_wrong_is_found_and_nothing_else(variant: Variant) -> None:
    findings = _judged(variant.text)[1].findings
    lost = [wanted for wanted in variant.findings if not any(_matches(one, wanted) for one in findings)]
    alarms = [
        _line(one)
        for one in findings
        if one.severity in JUDGED and not any(_matches(one, wanted) for wanted in variant.findings)
    ]
    assert (lost, alarms) == ([], [])


@every_variant
def test_rules_that_have_nothing_to_say_are_silent(variant: Variant) -> None:
    said = {finding.rule for finding in _judged(variant.text)[1].findings}
    assert [rule for rule in variant.silent if rule in said] == []


@every_variant
def test_what_cannot_be_judged_is_asked(variant: Variant) -> None:
    asked = _judged(variant.text)[1].not_assessed
    lost = [
        (rule, at, fact)
        for rule, at, fact in variant.asks
        if not any(one.rule == rule and at in ((), one.at) and fact in one.missing for one in asked)
    ]
    assert lost == []


@every_variant
def test_the_numbers_are_those_computed_by_hand(variant: Variant) -> None:
    numbers = _judged(variant.text)[0]
    assert [(what, of) for what, of, value in variant.numbers if not _near(numbers, what, of, value)] == []


def _near(numbers: Study, what: str, of: str, value: float) -> bool:
    if what == "drop":
        return 100 * numbers.load_drops[of].running_frac == pytest.approx(value, abs=PERCENT_POINTS)
    if what == "start":
        return numbers.load_drops[of].starting_v == pytest.approx(value, abs=0.05)
    segments = [one for one in numbers.segments if of in (one.segment.id, one.segment.run)]
    figures = {"ampacity": [one.ampacity_a for one in segments], "current": [one.current_a for one in segments]}
    return figures[what] != [] and all(one == pytest.approx(value, rel=0.02) for one in figures[what])


@pytest.mark.parametrize("variant", REFUSED, ids=lambda variant: variant.name)
def test_what_can_be_read_in_two_ways_is_refused_with_a_question(variant: Variant) -> None:
    with pytest.raises(SpecError) as raised:
        study_of(variant.text)
    said = " ".join(problem.text() for problem in raised.value.problems)
    assert [words for words in variant.refused if words not in said] == []


def test_every_case_has_its_verdicts_and_no_verdict_lacks_its_case() -> None:
    assert {path.stem for path in FOLDER.glob("*.txt")} == {path.stem for path in SPECS}
    assert {variant.name.split(":")[0] for variant in EVERY} == {path.stem for path in SPECS}
