"""The commands: read the arguments, call the public functions, print, and return the exit code."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from enum import IntEnum
from pathlib import Path
from typing import TypeAlias

from rigline.errors import CommandError, SpecError


class Exit(IntEnum):
    """What a command's exit code says."""

    CLEAN = 0
    """Nothing at or above --fail-on."""
    FINDINGS = 1
    """Findings at or above --fail-on."""
    WRONG = 2
    """The spec or the command is wrong; nothing was written."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command."""
    options = _parser().parse_args(arguments)
    try:
        return int(options.run(options))
    except SpecError as error:
        _say("\n".join(problem.text() for problem in error.problems))
        count = len(error.problems)
        _say(f"{count} problem{'s' if count > 1 else ''} in the spec; nothing was written.")
    except CommandError as error:
        _say(f"rigline: {error}")
    except BrokenPipeError:
        sys.stderr.close()
        return Exit.CLEAN
    return Exit.WRONG


_Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


def _say(text: str) -> None:
    print(text, file=sys.stderr)


def _parser() -> argparse.ArgumentParser:
    from rigline import __version__

    parser = argparse.ArgumentParser(
        prog="rigline",
        description="Checks, sizes and draws the electrical system of a camper, trailer, boat or cabin.",
        epilog="Exit codes: 0 nothing at or above --fail-on, 1 findings, 2 the spec or the command is wrong.",
    )
    parser.add_argument("--version", action="version", version=f"rigline {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    _add_draw(commands)
    _add_check(commands)
    _add_schedule(commands)
    return parser


def _command(
    commands: _Commands, name: str, help: str
) -> argparse.ArgumentParser:
    command = commands.add_parser(name, help=help, description=help)
    command.add_argument("spec", metavar="SPEC", help="the spec: a .yaml, .json or .toml file, or - for YAML on stdin")
    command.add_argument("--stage", metavar="S", help="only what is built by this stage: 1, 2, ... or later")
    return command


def _add_draw(commands: _Commands) -> None:
    command = _command(commands, "draw", "Draw the one-line diagram.")
    command.add_argument(
        "-o", "--output", metavar="FILE", action="append",
        help="a .svg, .pdf or .png file; may be given more than once; - or nothing: SVG on stdout",
    )  # fmt: skip
    command.add_argument("--sheet", choices=("a4", "a3", "letter", "tabloid"), help="size of the sheet, landscape")
    command.set_defaults(run=_draw)


def _add_check(commands: _Commands) -> None:
    command = _command(commands, "check", "Check the design and say what is dangerous, wrong or unclear.")
    command.add_argument("--format", choices=("text", "json"), default="text", help="form of the report")
    command.add_argument(
        "--fail-on", choices=("danger", "fault", "question", "advice"), default="fault",
        help="exit with 1 when a finding is this bad or worse (default: fault)",
    )  # fmt: skip
    command.set_defaults(run=_check)


def _add_schedule(commands: _Commands) -> None:
    command = _command(commands, "schedule", "Print the from-to table of every wire segment, with its numbers.")
    command.add_argument("--format", choices=("text", "json"), default="text", help="form of the table")
    command.set_defaults(run=_schedule)


def _check(options: argparse.Namespace) -> Exit:
    from rigline.api import check, read
    from rigline.findings import Severity

    report = check(read(options.spec, stage=options.stage))
    if options.format == "json":
        from rigline.outputs.json_report import report_json

        sys.stdout.write(report_json(report))
    else:
        from rigline.outputs.text import report_text

        sys.stdout.write(report_text(report))
    return Exit.FINDINGS if report.fails(Severity(options.fail_on)) else Exit.CLEAN


def _schedule(options: argparse.Namespace) -> Exit:
    from rigline.api import read, study

    numbers = study(read(options.spec, stage=options.stage))
    if options.format == "json":
        from rigline.outputs.json_report import schedule_json

        sys.stdout.write(schedule_json(numbers))
    else:
        from rigline.outputs.schedules import schedule_text

        sys.stdout.write(schedule_text(numbers))
    return Exit.CLEAN


def _draw(options: argparse.Namespace) -> Exit:
    from rigline.api import draw, read
    from rigline.outputs.files import write_files

    outputs = list(options.output or ["-"])
    endings = {name: "svg" if name == "-" else Path(name).suffix.lower().lstrip(".") for name in outputs}
    for name, ending in endings.items():
        if ending not in ("svg", "pdf", "png"):
            raise CommandError(f"{name}: the ending says the form of the drawing; give .svg, .pdf or .png")
    drawing = draw(read(options.spec, stage=options.stage), sheet=options.sheet)
    files: dict[Path, bytes] = {}
    for name, ending in endings.items():
        if name != "-":
            files.update({Path(path): content for path, content in drawing.files(name, ending).items()})
    write_files(files)
    for path in files:
        _say(f"wrote {path}")
    if "-" in endings:
        sys.stdout.write(drawing.only_svg())
    if drawing.report_words:
        _say(drawing.report_words)
    return Exit.CLEAN


if __name__ == "__main__":
    raise SystemExit(main())
