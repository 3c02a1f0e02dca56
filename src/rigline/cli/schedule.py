"""`rigline schedule`: the from-to table of every wire segment."""

from __future__ import annotations

import argparse

from rigline.cli.common import Commands, Exit, spec_command
from rigline.cli.console import write_result


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = spec_command(commands, "schedule", "Print the from-to table of every wire segment, with its numbers.")
    parser.add_argument(
        "--format", choices=("text", "csv", "json", "markdown"), default="text", help="form of the table"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Print the table."""
    from rigline.api import read, schedule

    table = schedule(read(options.spec, stage=options.stage, units=options.units))
    write_result(table.text(options.format), options.format)
    return Exit.CLEAN
