"""`rigline schedule`: the from-to table of every wire segment."""

from __future__ import annotations

import argparse
import sys

from rigline.cli.common import Commands, Exit, spec_command


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = spec_command(commands, "schedule", "Print the from-to table of every wire segment, with its numbers.")
    parser.add_argument(
        "--format", choices=("text", "csv", "json", "markdown"), default="text", help="form of the table"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Print the table."""
    from rigline.api import read, study_of

    numbers = study_of(read(options.spec, stage=options.stage))
    if options.format == "json":
        from rigline.outputs.json_report import schedule_json

        sys.stdout.write(schedule_json(numbers))
    else:
        from rigline.outputs.schedules import SCHEDULES

        sys.stdout.write(SCHEDULES[options.format](numbers))
    return Exit.CLEAN
