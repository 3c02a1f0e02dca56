"""The SARIF report is what the published schema asks for, and points editors to the right line.

The schema beside this file is the JSON schema of OASIS SARIF 2.1.0 as kept by the public schema store
(`sarif-2.1.0-rtm.5.json`; draft 4 of JSON Schema), unchanged.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from helpers import report
from jsonschema import Draft4Validator, FormatChecker

from rigline.checks.registry import all_checks
from rigline.cli import main
from rigline.errors import Problem
from rigline.outputs.sarif import reports_sarif

SCHEMA = json.loads(Path(__file__).with_name("sarif-2.1.0-rtm.5.json").read_text(encoding="utf-8"))
BROKEN = """\
rigline: 1
title: A lamp behind a fuse of unknown rating
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 70 A}
  LT1: {kind: dc-load, name: Lamps <b>, current: 4 A}
  F2: {kind: fuse, style: blade, rating: unknown}
  LT2: {kind: dc-load, name: More lamps, current: 4 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
  - {id: W3, path: [B1, F2, LT2], lengths: [100 mm, 2 m], wire: 14 AWG}
waivers:
  - {rule: rt-ocpd-over-conductor, at: F1, reason: a test}
"""


def problems(text: str) -> list[str]:
    """What the schema says against a log."""
    validator = Draft4Validator(SCHEMA, format_checker=FormatChecker())
    return [error.message for error in validator.iter_errors(json.loads(text))]


def results(text: str) -> list[dict[str, Any]]:
    """The results of the one run."""
    (run,) = json.loads(text)["runs"]
    found: list[dict[str, Any]] = run["results"]
    return found


def test_the_schema_refuses_what_is_no_log() -> None:
    """A validator that accepts anything would prove nothing."""
    assert problems('{"version": "2.1.0"}') != []
    assert problems('{"version": "2.1.0", "runs": [{"tool": {"driver": {"name": 7}}}]}') != []


def test_a_report_with_everything_in_it_follows_the_schema() -> None:
    """Findings, a waived one, rules not assessed, and the notice of a wrong spec."""
    wrong = Problem("c.yaml", 7, 3, "F1 kind", "there is no kind fuze")
    assert problems(reports_sarif([report(BROKEN), report(BROKEN, "other place/b c.yaml")], [wrong])) == []


def test_many_specs_make_one_run_and_a_wrong_one_is_a_notice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("a.yaml", "b c.yaml"):
        Path(name).write_text(BROKEN, encoding="utf-8")
    assert main(["check", "--format", "sarif", "a.yaml", "b c.yaml", "nothing.yaml"]) == 2
    text = capsys.readouterr().out
    (run,) = json.loads(text)["runs"]
    (invocation,) = run["invocations"]
    assert problems(text) == []
    assert invocation["executionSuccessful"] is False
    assert len(invocation["toolExecutionNotifications"]) == 1
    uris = {one["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] for one in run["results"]}
    assert uris == {"a.yaml", "b%20c.yaml"}


def test_a_result_points_to_the_line_and_the_component() -> None:
    answer = report(BROKEN)
    shown = results(reports_sarif([answer]))
    for finding, result in zip(answer.findings, shown, strict=False):
        place = result["locations"][0]
        assert result["ruleId"] == finding.rule
        assert place["physicalLocation"]["region"]["startLine"] == finding.line
        assert place["logicalLocations"][0]["name"] == (*finding.at, *finding.runs)[0]
        assert finding.remedy in result["message"]["text"]


def test_a_waived_finding_is_suppressed_with_its_reason() -> None:
    (waived,) = [one for one in results(reports_sarif([report(BROKEN)])) if "suppressions" in one]
    assert (waived["ruleId"], waived["suppressions"][0]["justification"]) == ("rt-ocpd-over-conductor", "a test")


def test_what_could_not_be_judged_is_open_and_no_pass() -> None:
    """SARIF 3.27.9: `open` is a result without enough facts to decide."""
    answer = report(BROKEN)
    opened = [one for one in results(reports_sarif([answer])) if one.get("kind") == "open"]
    assert len(opened) == len(answer.not_assessed) > 0
    assert {one["level"] for one in opened} == {"none"}


def test_every_rule_comes_with_its_reason_and_its_sources() -> None:
    (run,) = json.loads(reports_sarif([]))["runs"]
    rules = {rule["id"]: rule for rule in run["tool"]["driver"]["rules"]}
    assert list(rules) == [check.slug for check in all_checks()]
    assert [c.slug for c in all_checks() if c.sources[0].text not in rules[c.slug]["help"]["text"]] == []
