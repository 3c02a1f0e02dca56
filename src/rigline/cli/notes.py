"""`rigline notes`: what a system is built, tested and inspected by, as a page, a document or a PDF."""

from __future__ import annotations

import argparse
from pathlib import Path

from rigline.cli.common import Commands, Exit, say, spec_command
from rigline.cli.console import write_result
from rigline.errors import CommandError

FORMS = ("html", "md", "pdf")


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = spec_command(commands, "notes", "Write build notes: drawing, tables, install order, tests, inspection.")
    parser.add_argument(
        "-o", "--output", metavar="FILE", action="append",
        help="a .html, .md or .pdf file; may be given more than once; - or nothing: Markdown on stdout. The sheets of "
        "the drawing are written beside a .md file",
    )  # fmt: skip
    parser.add_argument(
        "--into", metavar="FILE.md", action="append", default=[],
        help="bring the marked block of an existing document up to date (drawing and tables) and leave all else as it "
        "is; may be given more than once",
    )  # fmt: skip
    parser.add_argument("--check", action="store_true", help="with --into: write nothing; exit 1 if a block is stale")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Write every file or none."""
    from rigline.api import notes, read

    outputs = list(dict.fromkeys(options.output or ([] if options.into else ["-"])))
    forms = {name: _form(name) for name in outputs}
    _refuse(options, outputs)
    made = notes(read(options.spec, stage=options.stage, units=options.units))
    changed = made.into(options.into)
    if options.check:
        return _checked(options.into, list(changed))
    files = dict(changed)
    for name, form in forms.items():
        files |= made.files(name, form) if name != "-" else {}
    return _write(files, made.markdown() if "-" in forms else "", made.report_words)


def _refuse(options: argparse.Namespace, outputs: list[str]) -> None:
    """What makes no sense together, before anything is computed."""
    if options.check and (options.output or not options.into):
        raise CommandError("--check goes with --into FILE.md and without -o: it writes nothing")
    both = {Path(name).resolve() for name in options.into} & {Path(name).resolve() for name in outputs if name != "-"}
    if both:
        raise CommandError(f"{min(both).name}: -o would write over the document that --into keeps; give another name")


def _checked(documents: list[str], stale: list[str]) -> Exit:
    for name in stale:
        say(f"{name} is stale: --into without --check brings it up to date")
    if not stale:
        say(f"{', '.join(documents)}: up to date")
    return Exit.FINDINGS if stale else Exit.CLEAN


def _write(files: dict[str, bytes], out: str, words: str) -> Exit:
    from rigline.outputs.files import write_files

    write_files({Path(name): content for name, content in files.items()})
    for name in files:
        say(f"wrote {name}")
    write_result(out, "markdown")
    say(words)
    return Exit.CLEAN


def _form(name: str) -> str:
    ending = "md" if name == "-" else Path(name).suffix.lower().lstrip(".")
    if ending not in FORMS:
        raise CommandError(f"{name}: the ending says the form of the notes; give .html, .md or .pdf")
    return ending
