"""One cause is said once, at one place, and nothing is lost by it."""

from __future__ import annotations

import pytest
from helpers import report
from msgspec.structs import replace

from rigline.checks.folding import FOLDS, fold
from rigline.checks.registry import all_checks
from rigline.findings import Finding, Severity

THIN = """\
rigline: 1
title: A pump on a wire that is too thin
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 1.5 kA}
  F1: {kind: fuse, style: terminal, rating: 60 A}
  M1: {kind: motor, name: Pump, current: 70 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 1 m], wire: 10 AWG, insulation: 75 °C}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 2 AWG}
"""
"""10 AWG with 75 °C insulation has 40 A (33 CFR 183.425 Table 5)."""


def finding(rule: str, **changes: object) -> Finding:
    """A finding at F1 on W1."""
    plain = Finding(rule, "overcurrent", Severity.DANGER, ("F1",), ("W1",), None, 60.0, 40.0, "A", "", "", "", "", 1, 1)
    return replace(plain, **changes)


def rules(findings: list[Finding]) -> list[tuple[str, tuple[str, ...]]]:
    """Rule and what is folded under it, of each."""
    return [(one.rule, one.folded) for one in findings]


def test_a_fuse_that_suits_the_load_is_not_blamed_for_the_wire() -> None:
    """A 60 A fuse is too large for 10 AWG, but the 70 A pump needs a wire that 60 A suits: the wire is the cause."""
    said = {one.rule: one.folded for one in report(THIN).findings}
    assert said["cd-undersized"] == ("rt-ocpd-over-conductor",)
    assert "rt-ocpd-over-conductor" not in said


def test_a_fuse_above_the_load_stays_a_finding_of_its_own() -> None:
    """A 150 A fuse is too large for any wire that a 70 A pump needs, so mending the wire does not mend it."""
    said = {one.rule for one in report(THIN.replace("rating: 60 A", "rating: 150 A")).findings}
    assert {"cd-undersized", "rt-ocpd-over-conductor"} <= said


CAUSE, DERIVED = "oc-branch-missing", "rt-ocpd-cannot-trip"


def test_a_duplicate_on_the_same_run_is_named_in_its_cause() -> None:
    assert rules(fold([finding(CAUSE), finding(DERIVED)])) == [(CAUSE, (DERIVED,))]


@pytest.mark.parametrize(
    ("cause", "derived"),
    [
        ({}, {"runs": ("W2",)}),
        ({"severity": Severity.FAULT}, {}),
        ({"waived": "it stays"}, {}),
        ({}, {"waived": "it stays"}),
        ({"mode": "on shore"}, {}),
    ],
    ids=["another run", "a milder cause", "a waived cause", "a waived duplicate", "a cause that holds at times only"],
)
def test_nothing_is_hidden_by_something_else(cause: dict[str, object], derived: dict[str, object]) -> None:
    both = [finding(CAUSE, **cause), finding(DERIVED, **derived)]
    assert fold(both) == both


def test_a_chain_of_causes_ends_at_the_first() -> None:
    """A device that can't trip follows from one too large, and that from a wire too thin: all stand under the wire."""
    chain = [finding("rt-ocpd-cannot-trip"), finding("rt-ocpd-over-conductor"), finding("cd-undersized", found=70.0)]
    assert rules(fold(chain)) == [("cd-undersized", ("rt-ocpd-cannot-trip", "rt-ocpd-over-conductor"))]


def test_the_table_names_rules_that_exist_and_goes_round_in_no_circle() -> None:
    slugs = {check.slug for check in all_checks()}
    under = {entry.rule: entry.under for entry in FOLDS}
    assert [name for entry in FOLDS for name in (entry.rule, *entry.under) if name not in slugs] == []
    assert [rule for rule in under if rule in _reached(rule, under)] == []


def _reached(rule: str, under: dict[str, tuple[str, ...]]) -> set[str]:
    found: set[str] = set()
    waiting = list(under[rule])
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += under.get(name, ())
    return found


WAIVED = THIN + "waivers:\n  - {rule: cd-undersized, at: W1, reason: it runs for ten seconds a day}\n"


def test_a_waiver_is_printed_and_hides_nothing_else() -> None:
    """The accepted finding stands last with its reason; what would have been folded under it stands by itself."""
    answer = report(WAIVED)
    assert (answer.findings[-1].rule, answer.findings[-1].waived) == ("cd-undersized", "it runs for ten seconds a day")
    assert "rt-ocpd-over-conductor" in {one.rule for one in answer.findings}


@pytest.mark.parametrize(
    ("rule", "at", "why"),
    [
        ("cd-undersized", "W2", "the rule finds nothing there"),
        ("cd-undersized", "W9", "the plan has no W9"),
        ("no-such-rule", "W1", "the rule finds nothing there"),
    ],
)
def test_a_waiver_that_accepts_nothing_is_a_question(rule: str, at: str, why: str) -> None:
    text = THIN + f"waivers:\n  - {{rule: {rule}, at: {at}, reason: because}}\n"
    (one,) = [found for found in report(text).findings if found.rule == "dg-unused-waiver"]
    assert (one.severity, one.at, why in one.message) == (Severity.QUESTION, (at,), True)


def test_findings_on_the_wiring_come_first_among_their_equals() -> None:
    """First whether the plan is a circuit at all, then the rest; worst first in any case."""
    text = THIN.replace("runs:\n", "  LT1: {kind: dc-load, current: 1 A}\n  F2: {kind: fuse, rating: unknown}\nruns:\n")
    answer = report(text)
    ranks = [one.severity.rank for one in answer.findings]
    faults = [one.rule for one in answer.findings if one.severity == Severity.FAULT]
    assert ranks == sorted(ranks)
    assert [rule[:3] == "dg-" for rule in faults] == sorted((rule[:3] == "dg-" for rule in faults), reverse=True)
