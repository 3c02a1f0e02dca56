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
    from rigline.api import read, study_of

    numbers = study_of(read(options.spec, stage=options.stage))
    if options.format == "json":
        from rigline.outputs.json_report import schedule_json

        write_result(schedule_json(numbers), "json")
    else:
        from rigline.outputs.schedules import SCHEDULES

        write_result(SCHEDULES[options.format](numbers), options.format)
    return Exit.CLEAN
