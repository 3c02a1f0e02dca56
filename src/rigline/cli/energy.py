"""`rigline energy`: what the loads take, what charges the battery, and how it fares over a typical year."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from rigline.cli.common import Commands, Exit, say, spec_command
from rigline.cli.console import write_result
from rigline.errors import CommandError

FORMS = ("svg", "html")


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = spec_command(commands, "energy", "Balance loads, battery and sources over a day and a typical year.")
    parser.add_argument(
        "--format", choices=("text", "json", "csv", "markdown"), default="text",
        help="form of the report; csv is the daily load table",
    )  # fmt: skip
    parser.add_argument(
        "-o", "--output", metavar="FILE", action="append", default=[],
        help="plot the year to a .svg or .html file; may be given more than once; - is stdout, as SVG",
    )  # fmt: skip
    parser.add_argument("--size", action="store_true", help="propose a battery and an array for the loads")
    parser.add_argument("--latitude", metavar="DEG", help="where it is used, south negative; goes before the spec")
    parser.add_argument("--autonomy", metavar="TIME", help="how long the battery alone shall last, as in '3 days'")
    parser.add_argument("--sun", metavar="FILE", help="hourly sun of a year: a .csv file with a column ghi in W/m2")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Write the plots, or none of them, and print the report."""
    from rigline.api import energy, read
    from rigline.outputs.files import write_files

    outputs = list(dict.fromkeys(options.output))
    forms = {name: _form(name) for name in outputs}
    latitude_deg, autonomy_h = _amount(options.latitude, "latitude", "deg"), _amount(options.autonomy, "autonomy", "h")
    if latitude_deg is not None and abs(latitude_deg) > 90:
        raise CommandError("--latitude is at most 90°")
    if autonomy_h is not None and autonomy_h <= 0:
        raise CommandError("--autonomy is more than nothing, as in '3 days'")
    system = read(options.spec, stage=options.stage, units=options.units)
    found = energy(system, latitude_deg=latitude_deg, autonomy_h=autonomy_h, sun_file=options.sun, size=options.size)
    plots = {name: found.plot(form) for name, form in forms.items()}
    files = {Path(name): content.encode() for name, content in plots.items() if name != "-"}
    write_files(files)
    for path in files:
        say(f"wrote {path}")
    if "-" in plots:
        write_result(plots["-"], "svg")
    elif options.format == "text":
        from rigline.outputs.energy_text import energy_lines
        from rigline.outputs.terminal import write_lines

        with system.shown():
            write_lines(energy_lines(found.report), sys.stdout)
    else:
        write_result(found.text(options.format), options.format)
    return Exit.CLEAN


def _form(name: str) -> str:
    ending = "svg" if name == "-" else Path(name).suffix.lower().lstrip(".")
    if ending not in FORMS:
        raise CommandError(f"{name}: the ending says the form of the plot; give .svg or .html")
    return ending


def _amount(text: str | None, option: str, suffix: str) -> float | None:
    from rigline.units import UnitProblem, parse_amount

    try:
        return None if text is None else float(parse_amount(text, suffix))
    except UnitProblem as problem:
        raise CommandError(f"--{option}: {problem}") from None
