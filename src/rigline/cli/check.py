"""`rigline check`: what is dangerous, wrong or unclear, in one spec or in many."""

from __future__ import annotations

import argparse
import glob
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from rigline.cli.common import SPEC_HELP, Commands, Exit, add_stage, add_units, command, say
from rigline.cli.console import write_result
from rigline.errors import CommandError, Problem, SpecError

if TYPE_CHECKING:
    from rigline.checks.run import Report
    from rigline.unit_system import UnitSystem

FEW = 4
"""Up to here one process is as fast: starting another takes as long as a check. Our own choice."""


class Outcome(Struct, frozen=True):
    """What became of one spec: its report, or what is wrong with it."""

    spec: str
    report: Report | None
    problems: tuple[Problem, ...] = ()


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = command(commands, "check", "Check the design and say what is dangerous, wrong or unclear.")
    parser.add_argument("specs", metavar="SPEC", nargs="+", help=f"{SPEC_HELP}; may be many")
    add_stage(parser)
    add_units(parser)
    parser.add_argument("--format", choices=tuple(_WRITERS), default="text", help="form of the report")
    parser.add_argument(
        "--fail-on", choices=("danger", "fault", "question", "advice"), default="fault",
        help="exit with 1 when a finding is this bad or worse (default: fault)",
    )  # fmt: skip
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Check every spec and print the reports; a wrong spec is told of and keeps no other from being reported."""
    from rigline.findings import Severity

    specs = [name for spec in options.specs for name in _files(spec)]
    if len(specs) == 1:
        outcomes = [Outcome(specs[0], _report(specs[0], options.stage, options.units))]
    else:
        outcomes = _outcomes(specs, options.stage, options.units)
    _WRITERS[options.format](outcomes)
    for outcome in outcomes:
        if outcome.report is None:
            say("\n".join(problem.text() for problem in outcome.problems))
    if wrong := sum(outcome.report is None for outcome in outcomes):
        say(f"{wrong} of {len(outcomes)} specs could not be checked.")
        return Exit.WRONG
    worst_allowed = Severity(options.fail_on)
    fails = any(outcome.report.fails(worst_allowed) for outcome in outcomes if outcome.report)
    return Exit.FINDINGS if fails else Exit.CLEAN


def _files(spec: str) -> list[str]:
    """The files of a pattern, for shells that leave patterns to the program; anything else stays as it is."""
    if spec == "-" or not glob.has_magic(spec) or Path(spec).exists():
        return [spec]
    if not (found := sorted(glob.glob(spec))):  # noqa: PTH207  # a path's own takes no pattern with a root
        raise CommandError(f"{spec}: no file has a name like this; name the specs, or look in which folder you are")
    return found


def _report(spec: str, stage: str | None, units: UnitSystem | None) -> Report:
    from rigline.api import check, read

    return check(read(spec, stage=stage, units=units))


def _outcome(spec: str, stage: str | None, units: UnitSystem | None) -> Outcome:
    """The outcome of one spec; runs in a process of its own where there are many."""
    try:
        return Outcome(spec, _report(spec, stage, units))
    except SpecError as error:
        return Outcome(spec, None, error.problems)
    except CommandError as error:
        return Outcome(spec, None, (Problem(spec, 0, 0, "", str(error).removeprefix(f"{spec}: ")),))


def _outcomes(specs: Sequence[str], stage: str | None, units: UnitSystem | None) -> list[Outcome]:
    """The outcomes in the order of the specs, with a count on a terminal while it takes."""
    if specs.count("-") > 1:
        raise CommandError("- is stdin and can be read only once")
    outcomes = []
    one = partial(_outcome, stage=stage, units=units)
    for outcome in map(one, specs) if len(specs) <= FEW or "-" in specs else _in_parallel(specs, one):
        outcomes.append(outcome)
        _progress(len(outcomes), len(specs))
    return outcomes


def _in_parallel(specs: Sequence[str], one: Callable[[str], Outcome]) -> Iterator[Outcome]:
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # A fresh process is the same on every system; a forked one may inherit locks.
    workers = min(len(specs), os.cpu_count() or 1)
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        yield from pool.map(one, specs)


def _progress(done: int, count: int) -> None:
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{done} of {count} checked" + ("\r\x1b[K" if done == count else ""))
        sys.stderr.flush()


def _write_text(outcomes: Sequence[Outcome]) -> None:
    from rigline.outputs.terminal import write_lines
    from rigline.outputs.text import Line, report_lines, summary

    lines: list[Line] = []
    for outcome in outcomes:
        lines += [*report_lines(outcome.report), Line("")] if outcome.report else []
    if len(outcomes) == 1:
        lines.pop()
    else:
        said = (summary(outcome.report) if outcome.report else "not checked" for outcome in outcomes)
        lines += [Line(f"{outcome.spec}: {words}", "heading") for outcome, words in zip(outcomes, said, strict=True)]
    write_lines(lines, sys.stdout)


def _write_markdown(outcomes: Sequence[Outcome]) -> None:
    from rigline.outputs.markdown_report import report_markdown

    write_result("\n".join(report_markdown(outcome.report) for outcome in outcomes if outcome.report), "markdown")


def _write_json(outcomes: Sequence[Outcome]) -> None:
    from rigline.outputs.json_report import report_json, reports_json

    if len(outcomes) == 1 and outcomes[0].report:
        write_result(report_json(outcomes[0].report), "json")
    else:
        write_result(reports_json(one.report or (one.spec, one.problems) for one in outcomes), "json")


def _write_sarif(outcomes: Sequence[Outcome]) -> None:
    from rigline.outputs.sarif import reports_sarif

    problems = [problem for outcome in outcomes for problem in outcome.problems]
    write_result(reports_sarif([outcome.report for outcome in outcomes if outcome.report], problems), "sarif")


_WRITERS: dict[str, Callable[[Sequence[Outcome]], None]] = {
    "text": _write_text,
    "json": _write_json,
    "sarif": _write_sarif,
    "markdown": _write_markdown,
}
"""Form of the report -> what writes it."""
