"""`rigline explain`: where a number comes from, step by step."""

from __future__ import annotations

import argparse
import sys

from rigline.cli.common import SPEC_HELP, Commands, Exit, add_stage, command
from rigline.errors import CommandError


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = command(commands, "explain", "Explain the numbers of a wire segment, a run or a component.")
    parser.add_argument("word", metavar="WORD", help="a segment (W4b), run (W4) or component (F3) of the spec")
    parser.add_argument("--in", dest="spec", metavar="SPEC", required=True, help=SPEC_HELP)
    add_stage(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Print the derivation."""
    from rigline.api import read, study_of
    from rigline.outputs.derivation import derivation

    text = derivation(study_of(read(options.spec, stage=options.stage)), options.word)
    if text is None:
        raise CommandError(f"{options.word} is no segment, run or component of {options.spec}")
    sys.stdout.write(text)
    return Exit.CLEAN
