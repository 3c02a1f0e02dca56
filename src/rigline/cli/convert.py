"""`rigline convert`: a spec in another form, YAML, JSON, TOML or a table, that means the same system."""

from __future__ import annotations

import argparse
from pathlib import Path

from rigline.cli.common import Commands, Exit, add_force, command, refuse_existing, say
from rigline.cli.console import write_result
from rigline.errors import CommandError

FORMS = ("yaml", "json", "toml", "csv")


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = command(commands, "convert", "Write a spec in another form: YAML, JSON, TOML, or a table (CSV).")
    parser.add_argument("spec", metavar="SPEC", help="the spec: .yaml, .json, .toml, .csv, .xlsx or .ods")
    parser.add_argument(
        "-o",
        "--output",
        metavar="OTHER",
        required=True,
        help="a .yaml, .json, .toml or .csv file; - for YAML on stdout",
    )
    add_force(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Convert, prove that the result means the same, and write it."""
    from rigline.outputs.converting import converted

    syntax = _syntax(options.output)
    path = Path(options.output)
    if options.output != "-":
        if path.exists() and Path(options.spec).exists() and path.samefile(options.spec):
            raise CommandError(f"{path} is the spec itself; give another name")
        refuse_existing(path, options.force)
    content, remarks = converted(Path(options.spec), syntax)
    if options.output == "-":
        write_result(content.decode("utf-8-sig"), syntax)
    else:
        from rigline.outputs.files import write_files

        write_files({path: content})
        say(f"wrote {path}")
    for remark in remarks:
        say(remark)
    return Exit.CLEAN


def _syntax(name: str) -> str:
    ending = "yaml" if name == "-" else Path(name).suffix.casefold().lstrip(".").replace("yml", "yaml")
    if ending not in FORMS:
        raise CommandError(f"{name}: the ending says the form; give .yaml, .json, .toml or .csv")
    return ending
