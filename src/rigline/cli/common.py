"""What the commands share: exit codes, the spec argument, and talk on stderr."""

from __future__ import annotations

import argparse
import sys
from enum import IntEnum
from pathlib import Path
from typing import TypeAlias

from rigline.errors import CommandError, printable

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"
SPEC_HELP = "the spec: a .yaml, .json or .toml file, a table (.csv, .xlsx, .ods), or - for YAML on stdin"


class Exit(IntEnum):
    """What a command's exit code says."""

    CLEAN = 0
    """Nothing at or above --fail-on; no drawing is stale."""
    FINDINGS = 1
    """Findings at or above --fail-on, or a drawing that is not of its spec any more."""
    WRONG = 2
    """The spec or the command is wrong; nothing was written."""


def say(text: str) -> None:
    """Talk to the user; results go to stdout instead. Nothing in it commands the terminal."""
    print("\n".join(printable(line) for line in text.split("\n")), file=sys.stderr)


def command(commands: Commands, name: str, help: str) -> argparse.ArgumentParser:
    """A command without a spec."""
    return commands.add_parser(name, help=help, description=help)


def spec_command(commands: Commands, name: str, help: str) -> argparse.ArgumentParser:
    """A command on one spec, or on one stage of it."""
    parser = command(commands, name, help)
    parser.add_argument("spec", metavar="SPEC", help=SPEC_HELP)
    add_stage(parser)
    add_units(parser)
    return parser


def add_units(parser: argparse.ArgumentParser) -> None:
    """The option for people who read other units than the spec is written in."""
    parser.add_argument(
        "--units", choices=("metric", "us"),
        help="lengths, masses and temperatures in m, kg and °C, or in ft, lb and °F (default: as the spec has them)",
    )  # fmt: skip


def add_stage(parser: argparse.ArgumentParser) -> None:
    """The option that limits a command to what is built by a stage."""
    parser.add_argument("--stage", metavar="S", help="only what is built by this stage: 1, 2, ... or later")


def add_force(parser: argparse.ArgumentParser) -> None:
    """The option without which no file that is there is written over."""
    parser.add_argument("--force", action="store_true", help="write over a file that is there already")


def refuse_existing(path: Path, force: bool) -> None:
    """Stop if a file would be written over that nobody said may be.

    Raises:
        CommandError: The file is there, and force is false.
    """
    if not force and (path.exists() or path.is_symlink()):
        raise CommandError(f"{path} is there already and is left as it is; give another name, or --force")
