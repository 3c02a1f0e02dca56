"""`rigline schema`: the form of a spec as JSON Schema, for editors that complete and explain as somebody types."""

from __future__ import annotations

import argparse
from pathlib import Path

from rigline.cli.common import Commands, Exit, add_force, command, refuse_existing, say
from rigline.cli.console import write_result


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = command(commands, "schema", "Write the JSON Schema (2020-12) of a spec, for completion in an editor.")
    parser.add_argument("-o", "--output", metavar="FILE", default="-", help="the file to write (default: stdout)")
    add_force(parser)
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Write the schema."""
    from rigline.outputs.spec_schema import spec_schema_text

    text = spec_schema_text()
    if options.output == "-":
        write_result(text, "json")
        return Exit.CLEAN
    from rigline.outputs.files import write_files

    path = Path(options.output)
    if not path.is_file() or path.read_bytes() != text.encode():
        refuse_existing(path, options.force)
    write_files({path: text.encode()})
    say(f"wrote {path}")
    return Exit.CLEAN
