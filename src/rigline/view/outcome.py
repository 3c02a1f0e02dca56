"""What became of one text of the spec: its problems, or its findings and its drawing. Runs in the worker's thread."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import PurePath
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from rigline.api import draw, energy, order, read_text, study_of
from rigline.checks.run import Report, run_checks
from rigline.errors import CommandError, Problem, SpecError
from rigline.model.system import System
from rigline.outputs.energy_html import energy_body
from rigline.outputs.furniture import result_words
from rigline.outputs.order_html import order_html
from rigline.outputs.page.listing import shown
from rigline.results.drawing import Drawing
from rigline.view.spec_file import SpecFile

PLOT = '<img class="plot" src="plot.svg?number={number}" alt="Energy over a typical year">'


class Outcome(Struct, frozen=True):
    """What became of a text: problems, or else a report and perhaps a drawing."""

    digest: str
    """Of the text."""
    problems: tuple[Problem, ...] = ()
    report: Report | None = None
    drawing: Drawing | None = None

    def marks(self) -> dict[str, Any]:
        """Problems and findings with their places, for the editor and the list of problems."""
        return {
            "digest": self.digest,
            "problems": [_problem(one) for one in self.problems],
            "findings": [] if self.report is None else _findings(self.report),
            "result": "" if self.report is None else result_words(self.report),
        }


class Lists(Struct, frozen=True):
    """What stands beside a drawing: the order and the energy as HTML, the plot as SVG."""

    parts: str
    energy: str
    plot: str = ""


def checked(spec: SpecFile, data: bytes) -> Outcome:
    """A text's problems, or its findings."""
    return _outcome(spec, data, lambda system: Outcome("", report=run_checks(study_of(system), careful=True)))


def drawn(spec: SpecFile, data: bytes) -> Outcome:
    """A text's problems, or its findings and its drawing."""

    def drawn_system(system: System) -> Outcome:
        drawing = draw(system)
        return Outcome("", report=drawing.report, drawing=drawing)

    return _outcome(spec, data, drawn_system)


def unreadable(spec: SpecFile, error: CommandError) -> Outcome:
    """The outcome of a file that can't be read."""
    return Outcome("", (Problem(str(spec.path), 0, 0, "", str(error).removeprefix(f"{spec.path}: ")),))


def lists_of(drawing: Drawing, number: int) -> Lists:
    """The lists of a drawing; one that can't be made says why.

    Args:
        drawing: What they belong to.
        number: By which the page asks for the plot.
    """
    with drawing.study.system.shown():
        return _lists(drawing.study.system, number)


def _lists(system: System, number: int) -> Lists:
    parts = _or_reason(lambda: order_html(order(system)))
    try:
        found = energy(system)
    except Exception as error:
        return Lists(parts, _reason(error))
    try:
        plot = found.plot()
    except CommandError as error:
        return Lists(parts, energy_body(found.report, f'<p class="note">{shown(_sentence(str(error)))}</p>'))
    return Lists(parts, energy_body(found.report, PLOT.format(number=number)), plot)


def _outcome(spec: SpecFile, data: bytes, judge: Callable[[System], Outcome]) -> Outcome:
    digest = hashlib.sha256(data).hexdigest()
    try:
        system = read_text(data, spec.path, spec.stage, units=spec.units)
        with system.shown():
            return replace(judge(system), digest=digest)
    except SpecError as error:
        return Outcome(digest, error.problems)
    except CommandError as error:
        problem = str(error)
    except Exception as error:
        # The page lives on: the next text may not meet the fault.
        problem = _fault(error)
    return Outcome(digest, (Problem(str(spec.path), 0, 0, "", problem),))


def _fault(error: Exception) -> str:
    return f"this is a fault of Rigline, not of your spec ({type(error).__name__}: {error})"


def _or_reason(make: Callable[[], str]) -> str:
    try:
        return make()
    except Exception as error:
        return _reason(error)


def _reason(error: Exception) -> str:
    words = str(error) if isinstance(error, CommandError) else _fault(error)
    return f'<p class="note">{shown(_sentence(words))}</p>'


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:].rstrip('.')}."


def _problem(one: Problem) -> dict[str, Any]:
    """A problem without its place in the text of it, which the page shows by itself."""
    place = ":".join([one.file, *(str(number) for number in (one.line, one.column) if number)])
    return {
        "file": PurePath(one.file).name,
        "line": one.line,
        "column": one.column,
        "text": one.text().removeprefix(f"{place}: "),
    }


def _findings(report: Report) -> list[dict[str, Any]]:
    return [
        {
            "number": number,
            "severity": finding.severity.value,
            "line": finding.line,
            "column": finding.column,
            "file": PurePath(finding.file).name,
            "text": f"{finding.message} {finding.remedy}",
        }
        for number, finding in enumerate(report.findings, 1)
        if finding.waived is None
    ]
