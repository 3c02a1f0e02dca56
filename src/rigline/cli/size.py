"""`rigline size`: chooses the wires, ratings and ids that were left open, and writes them down if asked."""

from __future__ import annotations

import argparse
from pathlib import Path

from rigline.cli.common import Commands, Exit, say, spec_command
from rigline.cli.console import write_result
from rigline.errors import CommandError


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = spec_command(commands, "size", "Choose the wires, ratings and ids that were left open, with the reasons.")
    parser.add_argument("--write", action="store_true", help="write them into the spec; comments and layout stay")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Print every choice with its steps; with --write put them into the file."""
    from rigline.api import read, study_of
    from rigline.outputs.sizes import sizes_text, with_sizes

    if options.write and options.spec == "-":
        raise CommandError("--write needs a file, not stdin")
    numbers = study_of(read(options.spec, stage=options.stage, units=options.units))
    with numbers.system.shown():
        write_result(sizes_text(numbers))
    if options.write:
        from rigline.outputs.files import write_files

        path = Path(options.spec)
        content = with_sizes(path, numbers)
        if content is None:
            say("nothing was left open; the file is as it was")
        else:
            write_files({path: content})
            say(f"wrote {path}")
    return Exit.CLEAN
