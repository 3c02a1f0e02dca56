"""`rigline labels`: labels for both ends of every wire."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rigline.cli.common import Commands, Exit, say, spec_command
from rigline.cli.console import write_result
from rigline.errors import CommandError

if TYPE_CHECKING:
    from rigline.outputs.labels import Label
    from rigline.study.study import Study

MEDIA = ("a4-65", "a4-189", "letter-30", "letter-80", "strip-9", "strip-12", "strip-18", "strip-24")
"""Names in `outputs/label_media.toml`; here so that the help need not read it."""


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = spec_command(commands, "labels", "Make labels for both ends of every wire.")
    parser.add_argument(
        "-o", "--output", metavar="FILE", action="append",
        help="a .pdf or .csv file; may be given more than once; - or nothing: CSV on stdout",
    )  # fmt: skip
    parser.add_argument(
        "--on", choices=MEDIA, metavar="MEDIUM",
        help="what a PDF is printed on: a sheet by its number of labels, or tape or heat-shrink tube by its width in "
        f"mm ({', '.join(MEDIA)}); a4-65 or letter-80 if not given",
    )  # fmt: skip
    parser.add_argument("--runs", metavar="W1,W2", default="", help="only the labels of these runs")
    parser.add_argument("--start", type=int, default=1, metavar="N", help="first free label of a sheet begun before")
    parser.add_argument("--outlines", action="store_true", help="print the labels' edges too, to try on plain paper")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Write every file or none."""
    from rigline.api import read, study_of
    from rigline.outputs.files import write_files
    from rigline.outputs.labels import labels, labels_csv

    study = study_of(read(options.spec, stage=options.stage, units=options.units))
    with study.system.shown():
        found = labels(study, [name.strip() for name in options.runs.split(",") if name.strip()])
    medium = options.on or ("letter-80" if study.profile.name.startswith("us-") else "a4-65")

    def content(name: str, some: Sequence[Label]) -> bytes:
        return _pdf(some, medium, study, options) if _form(name) == "pdf" else labels_csv(some).encode()

    files = {name: content(name, found) for name in dict.fromkeys(options.output or ["-"])}
    write_files({Path(name): made for name, made in files.items() if name != "-"})
    for name, made in files.items():
        if name == "-":
            write_result(made.decode(), "csv")
        else:
            say(f"wrote {name}: {len(found)} labels")
    return Exit.CLEAN


def _form(name: str) -> str:
    ending = "csv" if name == "-" else Path(name).suffix.lower().lstrip(".")
    if ending not in ("pdf", "csv"):
        raise CommandError(f"{name}: the ending says the form of the labels; give .pdf or .csv")
    return ending


def _pdf(found: Sequence[Label], medium: str, study: Study, options: argparse.Namespace) -> bytes:
    from rigline.drawing.document import Document
    from rigline.drawing.pdf import CairoMissing, pdf_bytes
    from rigline.outputs.label_pages import label_pages, media

    if not found:
        raise CommandError("there is no wire to label")
    head = study.system.head
    title, date = f"Wire labels, {head.title or 'untitled system'}", head.date or ""
    try:
        return pdf_bytes(label_pages(found, media()[medium], options.start, options.outlines), Document(title, date))
    except CairoMissing as error:
        raise CommandError(str(error)) from None
