"""The report of a check as text that a beginner understands, for a terminal of 80 columns.

Each line knows what it is, so that a terminal can colour it; the words are the same everywhere.
"""

from __future__ import annotations

import textwrap
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple

from rigline.checks.registry import title_of
from rigline.checks.run import Report
from rigline.findings import Finding, NotAssessed, Severity
from rigline.outputs.cautions import CAUTIONS
from rigline.outputs.unseen import unseen

WIDTH = 80
"""Columns of the narrowest usual terminal."""
MOST_PLACES = 12
"""Places that are named for one rule that could not be judged; the JSON report has all."""
BODY, HANGING = "   ", "      "
"""Indents of a text, and of the second line of what has a label."""

Role = Literal["danger", "fault", "question", "advice", "heading", "caution", "source", ""]


class Line(NamedTuple):
    """One line of a report, and what it is."""

    text: str
    role: Role = ""


def report_text(report: Report) -> str:
    """The whole report as plain text."""
    return plain(report_lines(report))


def plain(lines: Iterable[Line]) -> str:
    """Lines as text without colour."""
    return "".join(f"{line.text}\n" for line in lines)


def report_lines(report: Report) -> list[Line]:
    """What was found, a count, what was checked, what could not be, what no drawing shows, and the cautions."""
    blocks = [list(_lines(_head(report), "heading"))]
    blocks += [list(_finding(number, finding)) for number, finding in enumerate(report.findings, 1)]
    blocks += [list(_lines(_wrapped(summary(report)), "heading")), list(_checked(report))]
    blocks += [list(_not_assessed(report.not_assessed))] if report.not_assessed else []
    blocks += [list(_unseen(report)), [line for one in CAUTIONS for line in _lines(_caution(one), "caution")]]
    return [line for block in blocks for line in (*block, Line(""))][:-1]


def summary(report: Report) -> str:
    """The count of the findings in one sentence."""
    counts = [_counted(report.count(severity), severity) for severity in Severity]
    waived = sum(finding.waived is not None for finding in report.findings)
    missing = len(report.not_assessed)
    words = ", ".join(counts) + (f", {waived} waived" if waived else "")
    unclear = f" {_times(missing, 'judgement was', 'judgements were')} not possible." if missing else ""
    return f"{words}. {_times(report.rules_run, 'rule was', 'rules were')} run.{unclear}"


def places_of(finding: Finding) -> str:
    """Everything that a finding points to, each once."""
    return ", ".join(dict.fromkeys((*finding.at, *finding.runs)))


def also(finding: Finding) -> str:
    """The rules that say the same, in words; empty if there are none."""
    return "; ".join(f"{title_of(slug)} [{slug}]" for slug in finding.folded)


def checked(report: Report) -> str:
    """The families of rules, with the number of rules run."""
    return ", ".join(f"{family} {count}" for family, count in sorted(report.families.items()))


def grouped(entries: Iterable[NotAssessed]) -> list[tuple[str, str, list[str]]]:
    """Rule, missing fact and places of what could not be judged, sorted by rule."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for entry in entries:
        found[entry.rule, entry.missing].extend(entry.at)
    return [(rule, missing, list(dict.fromkeys(places))) for (rule, missing), places in sorted(found.items())]


def _head(report: Report) -> str:
    head = report.system.head
    parts = [head.title or "untitled", f"revision {head.revision}" if head.revision else "", f"profile {head.profile}"]
    if report.system.stage is not None:
        parts.append(f"stage {report.system.stage}")
    text = f"{report.system.file}: " + ", ".join(part for part in parts if part)
    return _filled(text, "", "  ")


def _finding(number: int, finding: Finding) -> Iterator[Line]:
    title = f"{number}  {finding.severity.upper()}  {places_of(finding)}  ({finding.file}:{finding.line})"
    yield from _lines(_filled(title, "", HANGING), finding.severity.value)
    yield from _lines(_wrapped(finding.message))
    if finding.mode:
        yield from _lines(_wrapped(finding.mode, "When: "))
    yield from _lines(_wrapped(finding.remedy, "Do: "))
    if finding.folded:
        yield from _lines(_wrapped(also(finding), "Also: "))
    yield from _lines(_wrapped(f"{finding.source} [{finding.rule}]", "Rule: "), "source")
    if finding.waived is not None:
        yield from _lines(_wrapped(finding.waived, "Waived: "))


def _checked(report: Report) -> Iterator[Line]:
    yield Line("CHECKED: rules run, by family", "heading")
    yield from _lines(_wrapped(checked(report) or "none"))


def _not_assessed(entries: tuple[NotAssessed, ...]) -> Iterator[Line]:
    yield Line("NOT ASSESSED: these rules could not be judged because a fact is missing", "heading")
    for rule, missing, places in grouped(entries):
        more = f" and {len(places) - MOST_PLACES} more" if len(places) > MOST_PLACES else ""
        where = f"{', '.join(places[:MOST_PLACES])}{more}: " if places else ""
        yield from _lines(_wrapped(f"{where}{missing}", f"{rule}: "))


def _unseen(report: Report) -> Iterator[Line]:
    yield Line("NO DRAWING SHOWS: look at these on the real system", "heading")
    for point in unseen(report.system.profile_name):
        yield from _lines(_filled(f"{point.what} ({point.source})", BODY, HANGING))


def _times(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


def _counted(count: int, severity: Severity) -> str:
    plural = {Severity.DANGER: "dangers", Severity.FAULT: "faults", Severity.QUESTION: "questions"}
    return f"{count} {severity if count == 1 else plural.get(severity, severity)}"


def _caution(text: str) -> str:
    return _filled(text, "Caution: ", "  ")


def _wrapped(text: str, label: str = "") -> str:
    return _filled(text, f"{BODY}{label}", HANGING if label else BODY)


def _filled(text: str, first: str, indent: str) -> str:
    return textwrap.fill(
        text, WIDTH, initial_indent=first, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )


def _lines(text: str, role: Role = "") -> Iterator[Line]:
    return (Line(line, role) for line in text.splitlines())
