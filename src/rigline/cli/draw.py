"""`rigline draw`: the one-line diagram as SVG, PDF, PNG or a page for a browser."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from pathlib import Path

from rigline.cli.common import Commands, Exit, say, spec_command
from rigline.cli.console import write_result
from rigline.errors import CommandError

FORMS = ("svg", "pdf", "png", "html")


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = spec_command(commands, "draw", "Draw the one-line diagram.")
    parser.add_argument(
        "-o", "--output", metavar="FILE", action="append",
        help="a .svg, .pdf, .png or .html file; may be given more than once; - or nothing: SVG on stdout",
    )  # fmt: skip
    parser.add_argument(
        "--sheet", type=str.lower, choices=("a4", "a3", "letter", "tabloid"), help="size of the sheet, landscape"
    )
    parser.add_argument("--show", metavar="PART", help="only dc, ac, bonds, or what stands in a place")
    parser.add_argument("--poles", action="store_true", help="both poles of DC, with the shunt, for fault finding")
    parser.add_argument("--symbols", choices=("iec", "ieee"), help="set of symbols (default: that of the profile)")
    parser.add_argument("--color", choices=("on", "off"), default="off", help="wires in their colours (default: off)")
    parser.add_argument("--sheet-number", metavar="N", type=int, help="only this sheet of the drawing")
    parser.add_argument(
        "--check", action="store_true",
        help="write nothing; say which files are missing or stale (the spec has changed since), and exit with 1",
    )  # fmt: skip
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Draw, and write every file or none."""
    from rigline.api import draw, read
    from rigline.outputs.files import write_files

    outputs = list(dict.fromkeys(options.output or ["-"]))
    forms = {name: _form(name) for name in outputs}
    if options.check:
        return _check(forms, options)
    system = read(options.spec, stage=options.stage, units=options.units)
    drawing = draw(
        system, sheet=options.sheet, show=options.show, symbols=options.symbols, color=options.color == "on",
        poles=options.poles,
    )  # fmt: skip
    if options.sheet_number is not None:
        drawing = drawing.only(options.sheet_number)
    files = {
        Path(path): content
        for name, form in forms.items()
        if name != "-"
        for path, content in drawing.files(name, form).items()
    }
    write_files(files)
    for path in files:
        say(f"wrote {path}")
    if "-" in forms:
        write_result(drawing.only_svg(), "svg")
    say(drawing.report_words)
    return Exit.CLEAN


def _check(forms: Mapping[str, str], options: argparse.Namespace) -> Exit:
    """Say which drawings are not of the spec as it is now; the spec's own hash tells, so nothing is drawn."""
    from rigline.api import read
    from rigline.outputs.staleness import stale

    if "-" in forms:
        raise CommandError("--check looks at files: name them with -o")
    if options.sheet_number is not None:
        raise CommandError("--check looks at every sheet: leave --sheet-number out")
    system = read(options.spec, stage=options.stage, units=options.units)
    reasons = [reason for name, form in forms.items() for reason in stale(Path(name), form, system)]
    for reason in reasons:
        say(reason)
    if reasons:
        say("draw again: the same command without --check")
        return Exit.FINDINGS
    say(f"{', '.join(forms)}: drawn of this spec")
    return Exit.CLEAN


def _form(name: str) -> str:
    ending = "svg" if name == "-" else Path(name).suffix.lower().lstrip(".")
    if ending not in FORMS:
        raise CommandError(f"{name}: the ending says the form of the drawing; give .svg, .pdf, .png or .html")
    return ending
