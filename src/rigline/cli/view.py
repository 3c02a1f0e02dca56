"""`rigline view`: a page on this machine that follows the spec as it is saved."""

from __future__ import annotations

import argparse
import gc
from pathlib import Path

from rigline.cli.common import Commands, Exit, add_stage, add_units, command, say
from rigline.errors import CommandError

LARGEST_PORT = 65_535
GARBAGE_PACE = (10_000, 10, 10)
"""Objects made before the youngest are gone through, and rounds before the older ones are. Our own choice."""
INSTALL = 'the page needs a few more libraries; install them: pip install "rigline[view]"'


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = command(commands, "view", "Show drawing, findings and lists in the browser and follow the spec as saved.")
    parser.add_argument("spec", metavar="SPEC", help="the spec: a .yaml, .json or .toml file")
    add_stage(parser)
    add_units(parser)
    parser.add_argument("--port", metavar="N", type=int, default=0, help="port on this machine (default: a free one)")
    parser.add_argument("--no-open", action="store_true", help="print the address and open no browser")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Serve the page until Ctrl-C."""
    if not 0 <= options.port <= LARGEST_PORT:
        raise CommandError(f"--port is at most {LARGEST_PORT}, not {options.port}")
    if options.spec == "-":
        raise CommandError("view follows a file as it is saved, not stdin")
    try:
        from rigline.view.serving import serve
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] in ("starlette", "uvicorn", "watchfiles"):
            raise CommandError(INSTALL) from None
        raise
    from rigline.view.spec_file import SpecFile

    # The other commands end before their garbage matters; this one draws all day.
    gc.set_threshold(*GARBAGE_PACE)
    spec = SpecFile(Path(options.spec), options.stage, options.units)
    spec.read()
    serve(spec, options.port, lambda address: say(_told(options.spec, address)), not options.no_open)
    say("Ended; the page follows no more.")
    return Exit.CLEAN


def _told(spec: str, address: str) -> str:
    return f"{spec} is shown at {address}\nOnly this machine can open it. Ctrl-C ends it."
