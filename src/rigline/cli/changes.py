"""`rigline changes`: what is different between two states of a system, and the drawing with the changes marked."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from rigline.cli.common import Commands, Exit, add_stage, add_units, command, say
from rigline.cli.console import write_result
from rigline.errors import CommandError

FORMS = ("svg", "pdf", "png")
STATE_HELP = "a spec, or SPEC@REVISION for what it was in a git commit, branch or tag"


def add(commands: Commands) -> None:
    """Declare the command."""
    help = "Say what changed between two states: parts, wires, findings, what to buy; mark it on the drawing."
    parser = command(commands, "changes", help)
    parser.epilog = "Exit codes, as of diff: 0 no change, 1 changes, 2 a spec or the command is wrong."
    parser.add_argument("old", metavar="OLD", help=STATE_HELP)
    parser.add_argument("new", metavar="NEW", help="the same, later")
    add_stage(parser)
    add_units(parser)
    parser.add_argument("--format", choices=("text", "json", "markdown"), default="text", help="form of the report")
    parser.add_argument(
        "-o", "--output", metavar="FILE", action="append",
        help="also draw NEW with the changes marked: a .svg, .pdf or .png file; may be given more than once",
    )  # fmt: skip
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Print what changed; write every drawing or none."""
    from rigline.api import changes, draw_changes, read_state
    from rigline.outputs.files import write_files

    outputs = {name: _form(name) for name in options.output or []}
    if options.old == options.new == "-":
        raise CommandError("- is stdin and can be read only once")
    old, new = (read_state(name, options.stage, units=options.units) for name in (options.old, options.new))
    found = changes(old, new)
    if outputs:
        drawing = draw_changes(found)
        files = {Path(path): content for name, form in outputs.items() for path, content in
                 drawing.files(name, form).items()}  # fmt: skip
        write_files(files)
        for path in files:
            say(f"wrote {path}")
    if options.format == "text":
        from rigline.outputs.changes_text import changes_lines
        from rigline.outputs.terminal import write_lines

        with new.shown():
            write_lines(changes_lines(found), sys.stdout)
    else:
        write_result(found.text(options.format), options.format)
    return Exit.CLEAN if found.empty else Exit.FINDINGS


def _form(name: str) -> str:
    ending = Path(name).suffix.lower().lstrip(".")
    if ending not in FORMS:
        raise CommandError(f"{name}: the ending says the form of the drawing; give .svg, .pdf or .png")
    return ending
