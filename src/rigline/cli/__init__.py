"""The commands: read the arguments, call the public functions, print, and return the exit code.

One command is one file with two functions: `add` declares its options, `run` does it.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import NoReturn

from rigline.cli.common import Exit, say
from rigline.cli.console import prepare
from rigline.errors import CommandError, SpecError
from rigline.version import VERSION

COMMANDS = (
    "new", "draw", "check", "schedule", "size", "energy", "parts", "labels", "notes", "changes", "view", "convert",
    "schema", "explain",
)  # fmt: skip
"""In the order of the help; each is a module of this package."""


def process() -> NoReturn:
    """Run one command as a whole process, which ends with it."""
    # A command ends before its garbage matters: looking for it at the usual pace took a tenth of a command's time, and
    # going through everything twice more on leaving another tenth.
    gc.set_threshold(1_000_000)
    code = main()
    gc.freeze()
    raise SystemExit(code)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code."""
    prepare()
    words = sys.argv[1:] if arguments is None else list(arguments)
    # Only the asked command's module is imported; all of them are for the help and for a word that is no command.
    options = _parser(words[:1] if words and words[0] in COMMANDS else COMMANDS).parse_args(words)
    try:
        code = int(options.run(options))
        sys.stdout.flush()
        return code
    except SpecError as error:
        say("\n".join(problem.text() for problem in error.problems))
        count = len(error.problems)
        say(f"{count} problem{'s' if count > 1 else ''} in the spec; nothing was written.")
    except CommandError as error:
        say(f"rigline: {error}")
    except BrokenPipeError:
        # Whoever read our output has had enough of it.
        _drop_stdout()
        return Exit.CLEAN
    except OSError as error:
        if error.filename is None:
            _drop_stdout()
        say(f"rigline: {error.filename or 'the output'} can't be read or written: {error.strerror or error}")
    except KeyboardInterrupt:
        say("rigline: stopped; nothing was written")
    except Exception as error:
        if os.environ.get("RIGLINE_TRACEBACK"):
            raise
        say(f"rigline: this is a fault of Rigline, not of your spec ({type(error).__name__}: {error}).")
        say("Nothing was written. Set RIGLINE_TRACEBACK=1 to see where it happened.")
    return Exit.WRONG


def _drop_stdout() -> None:
    """What is left in stdout goes nowhere: at the end of the program it would fail once more."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _parser(names: Sequence[str]) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="rigline",
        description="Checks, sizes and draws the electrical system of a camper, trailer, boat or cabin.",
        epilog="Exit codes: 0 nothing at or above --fail-on, 1 findings, or a stale drawing, "
        "2 the spec or the command is wrong.",
    )
    parser.add_argument("--version", action="version", version=f"rigline {VERSION}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    for name in names:
        import_module(f"rigline.cli.{name}").add(commands)
    return parser
