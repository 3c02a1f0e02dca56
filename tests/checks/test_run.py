"""How the rules are run: one that fails by our fault takes no other with it, and is never a pass."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from helpers import study_of
from msgspec.structs import replace

from rigline.checks.check import Check, Hit, Missing
from rigline.checks.registry import check_of, title_of
from rigline.checks.run import run_checks
from rigline.findings import Severity
from rigline.study.study import Study

SLUGS = ("dg-implausible", "rt-ocpd-over-conductor")


def _broken(study: Study) -> Iterator[Hit | Missing]:
    yield from ()
    raise KeyError("B1")


def _checks() -> tuple[Check, Check]:
    first, second = (check_of(slug) for slug in SLUGS)
    assert first is not None and second is not None
    return replace(first, find=_broken), second


def test_a_rule_that_fails_by_our_fault_is_not_assessed_and_all_others_are() -> None:
    broken, sound = _checks()
    found = run_checks(study_of(sound.example.failing_spec), (broken, sound), careful=True)

    assert [finding.rule for finding in found.findings] == [sound.slug]
    assert [(one.rule, one.at, one.missing) for one in found.not_assessed] == [
        (broken.slug, (), "this rule failed by a fault of Rigline itself (KeyError: 'B1')")
    ]


def test_a_rule_that_fails_is_our_bug_where_nobody_asked_for_care() -> None:
    broken, sound = _checks()
    with pytest.raises(KeyError):
        run_checks(study_of(sound.example.failing_spec), (broken,))


def test_a_report_fails_at_its_worst_finding_and_above() -> None:
    _, sound = _checks()
    found = run_checks(study_of(sound.example.failing_spec), (sound,))

    assert [finding.severity for finding in found.findings] == [Severity.DANGER]
    assert [one for one in Severity if found.count(one)] == [Severity.DANGER]
    assert found.fails(Severity.DANGER) and found.fails(Severity.ADVICE)


def test_a_fault_is_allowed_where_only_dangers_count() -> None:
    check = check_of("bb-c-rate")
    assert check is not None
    found = run_checks(study_of(check.example.failing_spec), (check,))

    assert [finding.severity for finding in found.findings] == [Severity.FAULT]
    assert (found.fails(Severity.DANGER), found.fails(Severity.FAULT), found.fails(Severity.ADVICE)) == (
        False, True, True
    )  # fmt: skip


def test_a_slug_that_is_no_rule_is_its_own_title() -> None:
    assert (check_of("no-such-rule"), title_of("no-such-rule")) == (None, "no-such-rule")
    assert title_of("ph-busbar-rating") == "bar rated below the sum of its feeds"
