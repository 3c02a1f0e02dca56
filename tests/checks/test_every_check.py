"""What holds for every rule: its examples, its words and its sources. No rule has tests of its own form here."""

from __future__ import annotations

import random
import re
from functools import cache

import pytest
from helpers import report, study_of

from rigline.checks.check import Check
from rigline.checks.registry import all_checks, why_of
from rigline.checks.run import Report
from rigline.findings import Finding, Severity
from rigline.standards.profiles import PROFILE_NAMES
from rigline.standards.wire import parse_wire_size

CHECKS = all_checks()
MOST_LINES = 25
"""An example is short enough to read at a glance."""

SAME_AREA_FRAC = 0.01
"""A wire's area may be told by its size: 8 AWG for 8.37 mm²."""

every_check = pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.slug)


@cache
def _report(text: str) -> Report:
    return report(text)


def _said(findings: tuple[Finding, ...]) -> set[tuple[str, tuple[str, ...]]]:
    return {(finding.rule, finding.at) for finding in findings}


def _own(check: Check) -> list[Finding]:
    return [f for f in _report(check.example.failing_spec).findings if f.rule == check.slug]


@every_check
def test_the_passing_example_is_clean_under_every_rule(check: Check) -> None:
    """No rule finds anything in a passing example, and the rule itself could judge all of it."""
    answer = _report(check.example.spec)
    assert _said(answer.findings) == set()
    assert [one for one in answer.not_assessed if one.rule == check.slug] == []


@every_check
def test_the_failing_example_breaks_this_rule_alone(check: Check) -> None:
    """The failing example is found by its rule, at the place named, and by no other rule."""
    assert _said(_report(check.example.failing_spec).findings) == {(check.slug, check.example.finds)}


@every_check
def test_the_two_examples_differ_in_one_line(check: Check) -> None:
    """One line flips the verdict, so the cause is the stated one and the remedy works."""
    good, bad = check.example.spec.splitlines(), check.example.failing_spec.splitlines()
    assert check.example.spec.count(check.example.passing) == 1
    assert [len(bad), sum(a != b for a, b in zip(good, bad, strict=False))] == [len(good), 1]


@every_check
def test_an_example_is_short(check: Check) -> None:
    """A reader can take an example in at a glance."""
    assert len(check.example.spec.splitlines()) <= MOST_LINES


def _shown(value: float, text: str) -> bool:
    """Whether a number stands in a text, in any usual rounding."""
    forms = {f"{value:.{digits}g}" for digits in (2, 3, 4)} | {f"{value:.{places}f}" for places in (0, 1, 2)}
    if value == float("inf"):
        forms.add("any current")
    sizes = [parse_wire_size(size).area_mm2 for size in re.findall(r"[\d./]+ (?:AWG|mm²)", text)]
    if any(abs(area - value) <= SAME_AREA_FRAC * value for area in sizes):
        return True
    return any(re.search(rf"(?<![\d.]){re.escape(form)}(?![\d.]*\d)", text) for form in forms)


@every_check
def test_message_and_remedy_are_filled_in(check: Check) -> None:
    """The words name the place, and hold the measured value and the limit with their unit where there are numbers."""
    for finding in _own(check):
        words = f"{finding.message} {finding.remedy}"
        assert re.findall(r"[{}]|\?", words) == []
        assert any(place in words for place in (*finding.at, *finding.runs))
        assert finding.message[-1] + finding.remedy[-1] == ".."
        if finding.unit:
            assert finding.found is None or _shown(finding.found, words), finding.found
            assert finding.limit is None or _shown(finding.limit, words), finding.limit
            assert finding.unit in words or "AWG" in words


@every_check
def test_a_path_in_a_remedy_can_be_pasted_into_the_spec(check: Check) -> None:
    """What stands in brackets are ids of the spec, without names, each with its terminal."""
    components = study_of(check.example.failing_spec).system.components
    for finding in _own(check):
        for path in re.findall(r"\[([^]]*)\]", finding.remedy):
            ids = [re.split(r"[.+-]", stop)[0] for stop in path.split(", ")]
            assert [id for id in ids if id not in components and id not in ("GND", "L", "N", "PE")] == []


@every_check
def test_a_finding_points_into_the_spec(check: Check) -> None:
    """A finding stands at a line of the spec that names its chief place."""
    lines = check.example.failing_spec.splitlines()
    for finding in _own(check):
        assert finding.file == "spec.yaml"
        assert finding.at[0] in " ".join(lines[max(finding.line - 2, 0) : finding.line])


@every_check
def test_a_rule_says_why_what_and_where_from(check: Check) -> None:
    """A rule gives its reason in two sentences or more, its limit, its exceptions and its sources."""
    why = why_of(check)
    assert len(re.findall(r"[.!](?=\s|$)", why)) >= 2
    assert all(len(part) > 3 for part in (check.title, check.limit, check.exceptions))
    assert check.sources != ()
    assert all(
        source.text and source.sure in ("verified", "from memory", "common practice") for source in check.sources
    )
    assert isinstance(check.severity, Severity)
    assert set(check.profiles) <= set(PROFILE_NAMES)


@every_check
def test_the_source_of_a_finding_says_how_sure_it_is(check: Check) -> None:
    """What is recalled and not read is marked so in the finding itself."""
    for finding in _own(check):
        for source in check.sources:
            assert source.sure == "verified" or f"{source.text} ({source.sure})" in finding.source


def _entries(block: str) -> list[str]:
    """The entries of one block of a spec, each with its continuation lines."""
    return re.findall(r"^  \S.*\n(?:^ {3,}.*\n)*", block, flags=re.MULTILINE)


def _shuffled(text: str, seed: int) -> str:
    """The same spec with its components and runs in another order."""
    chance = random.Random(seed)
    for name in ("components", "runs"):
        match = re.search(rf"^{name}:\n((?:^  .*\n)+)", text, flags=re.MULTILINE)
        if match:
            entries = _entries(match.group(1))
            chance.shuffle(entries)
            text = text[: match.start(1)] + "".join(entries) + text[match.end(1) :]
    return text


@every_check
@pytest.mark.parametrize("seed", [1, 2])
def test_order_in_the_spec_does_not_matter(check: Check, seed: int) -> None:
    """A spec with its components and runs in another order gets the same verdict."""
    answer = report(_shuffled(check.example.failing_spec, seed))
    assert _said(answer.findings) == {(check.slug, check.example.finds)}


def _renamed(text: str, ids: list[str]) -> str:
    """The same spec with every id spelt otherwise."""
    names = "|".join(sorted(map(re.escape, ids), key=len, reverse=True))
    return re.sub(rf"(?<![\w.])({names})(?![\w])", r"Z\1x", text)


@every_check
def test_names_do_not_matter(check: Check) -> None:
    """A spec with other ids gets the same verdict at the renamed places."""
    text = check.example.failing_spec
    system = study_of(text).system
    ids = [*system.components, *(run.id for run in system.runs if run.named)]
    answer = report(_renamed(text, ids))
    renamed = tuple(f"Z{place}x" if place in ids else place for place in check.example.finds)
    assert {(rule, frozenset(at)) for rule, at in _said(answer.findings)} == {(check.slug, frozenset(renamed))}


def test_every_rule_has_one_name() -> None:
    """Slugs are unique and sorted, as their files are."""
    slugs = [check.slug for check in CHECKS]
    assert slugs == sorted(set(slugs))
