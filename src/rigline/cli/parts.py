"""`rigline parts`: what to order, cut and borrow: components, wire, lugs, tools, mass."""

from __future__ import annotations

import argparse

from rigline.cli.common import Commands, Exit, spec_command
from rigline.cli.console import write_result


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = spec_command(commands, "parts", "List what to order, cut and borrow: components, wire, lugs, tools, mass.")
    parser.add_argument(
        "--format", choices=("text", "csv", "json", "markdown"), default="text", help="form of the lists"
    )
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Print the lists."""
    from rigline.api import order, read

    lists = order(read(options.spec, stage=options.stage, units=options.units))
    write_result(lists.text(options.format), options.format)
    return Exit.CLEAN
