"""`rigline explain`: what a word means, or where a number of a spec comes from, step by step."""

from __future__ import annotations

import argparse

from rigline.cli.common import SPEC_HELP, Commands, Exit, add_stage, add_units, command
from rigline.cli.console import write_result
from rigline.errors import CommandError


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = command(
        commands, "explain", "Explain a rule, a kind, a key or a term; with --in, the numbers of a wire or component."
    )
    parser.add_argument(
        "word", metavar="WORD", nargs="?",
        help="a word, or KIND.KEY; with --in a segment (W4b), run (W4) or component (F3); none: what can be explained",
    )  # fmt: skip
    parser.add_argument(
        "--in", dest="spec", metavar="SPEC", help=f"tell where the numbers of a spec come from; {SPEC_HELP}"
    )
    add_stage(parser)
    add_units(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Print the explanation, the derivation, or the words that can be explained."""
    if options.spec is not None and options.word is None:
        raise CommandError("give a segment, run or component, as in rigline explain W1 --in SPEC")
    write_result(_meaning(options.word) if options.spec is None else _numbers(options))
    return Exit.CLEAN


def _meaning(word: str | None) -> str:
    from rigline.api import explain
    from rigline.outputs.explaining import contents

    if word is None:
        return contents()
    try:
        return explain(word)
    except CommandError as error:
        raise CommandError(f"{error} (rigline explain lists all; with --in SPEC: the numbers of a wire)") from None


def _numbers(options: argparse.Namespace) -> str:
    from rigline.api import read, study_of
    from rigline.outputs.derivation import derivation

    numbers = study_of(read(options.spec, stage=options.stage, units=options.units))
    with numbers.system.shown():
        text = derivation(numbers, options.word)
    if text is None:
        raise CommandError(f"{options.word} is no segment, run or component of {options.spec}")
    return text
