"""`rigline new`: a first spec, from a few questions or from a commented example; never over a file that is there."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from rigline.cli.common import Commands, Exit, command, say
from rigline.cli.console import write_result
from rigline.errors import CommandError

if TYPE_CHECKING:
    from rigline.starting.answers import Answers

EXAMPLES = ("trailer", "boat", "cabin", "blank")
SCHEMA_FILE = "rigline.schema.json"
"""Beside the spec, where its first line points: an editor then needs no network."""


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = command(commands, "new", "Begin a spec: answer a few questions, or start from a commented example.")
    parser.add_argument(
        "file", metavar="FILE", nargs="?",
        help="the file to write (default: named after what it is, as in boat.yaml; - for stdout)",
    )  # fmt: skip
    parser.add_argument("--from", dest="example", choices=EXAMPLES, help="start from this example, without questions")
    parser.add_argument("--table", action="store_true", help="as a table (CSV) for a spreadsheet")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Write the spec, and beside it the schema for editors."""
    table = options.table or str(options.file or "").casefold().endswith(".csv")
    if options.file:
        _refuse(options.file, table)
    if options.example:
        from rigline.starting.examples import example_text

        name = options.file or f"{options.example}.{'csv' if table else 'yaml'}"
        _refuse(name, table)
        text = example_text(options.example, _shown(name))
    else:
        answers = _answers()
        name = options.file or f"{answers.what}.{'csv' if table else 'yaml'}"
        _refuse(name, table)
        text = _starter(answers, _shown(name))
    _write(name, text, table)
    return Exit.CLEAN


def _shown(name: str) -> str:
    return "FILE" if name == "-" else name


def _refuse(name: str, table: bool) -> None:
    if name == "-":
        return
    wanted = (".csv",) if table else (".yaml", ".yml")
    if Path(name).suffix.casefold() not in wanted:
        hint = "a table's name ends in .csv" if table else "a new spec's name ends in .yaml (or .csv with --table)"
        raise CommandError(f"{name}: {hint}; rigline convert makes other forms of it")
    if Path(name).exists() or Path(name).is_symlink():
        raise CommandError(f"{name} is there already and is left as it is; give another name")
    if not Path(name).parent.is_dir():
        raise CommandError(f"there is no folder {Path(name).parent}; make it first")


def _answers() -> Answers:
    """The answers that somebody at a terminal gives."""
    from rigline.starting.wizard import answers_from

    if not sys.stdin.isatty():
        raise CommandError(
            "the questions need a terminal; without one give an example to start from, as in "
            "rigline new --from trailer (or boat, cabin, blank)"
        )
    try:
        return answers_from(_ask, say, _objections)
    except (EOFError, KeyboardInterrupt):
        say("")
        raise CommandError("stopped before the last answer; nothing was written") from None


def _ask(prompt: str) -> str:
    sys.stderr.write(prompt)
    sys.stderr.flush()
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line


def _objections(answers: Answers) -> list[str]:
    """Every danger and fault in the system that the answers make, as the check says it."""
    from rigline.api import check, read_text
    from rigline.findings import Severity

    report = check(read_text(_starter(answers, "FILE")))
    found = (finding for finding in report.findings if finding.severity in (Severity.DANGER, Severity.FAULT))
    return [f"{finding.message} {finding.remedy}".strip() for finding in found]


def _starter(answers: Answers, name: str) -> str:
    from rigline.starting.text import starter_text

    return starter_text(answers, name)


def _table(text: str) -> bytes:
    from rigline.outputs.converting import starting_table

    return starting_table(text)


def _write(name: str, text: str, table: bool) -> None:
    from rigline.outputs.files import write_files

    content = _table(text) if table else f"# yaml-language-server: $schema={SCHEMA_FILE}\n{text}".encode()
    if name == "-":
        write_result(content.decode("utf-8-sig"), "csv" if table else "yaml")
        return
    files = {Path(name): content}
    schema = Path(name).parent / SCHEMA_FILE
    if not table and not schema.exists():
        from rigline.outputs.spec_schema import spec_schema_text

        files[schema] = spec_schema_text().encode()
    write_files(files)
    for path in files:
        say(
            f"wrote {path}"
            + (" (for editors that complete words; the spec works without it)" if path == schema else "")
        )
    shown = name if " " not in name else f'"{name}"'
    say(f"Next: rigline check {shown}")
    say(f"      rigline draw {shown} -o {Path(shown).stem}.html  (open it in a browser)")
