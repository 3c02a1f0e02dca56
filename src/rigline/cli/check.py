"""`rigline check`: what is dangerous, wrong or unclear."""

from __future__ import annotations

import argparse
import sys

from rigline.cli.common import Commands, Exit, spec_command


def add(commands: Commands) -> None:
    """Declare the command."""
    parser = spec_command(commands, "check", "Check the design and say what is dangerous, wrong or unclear.")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="form of the report")
    parser.add_argument(
        "--fail-on", choices=("danger", "fault", "question", "advice"), default="fault",
        help="exit with 1 when a finding is this bad or worse (default: fault)",
    )  # fmt: skip
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> Exit:
    """Check and print the report."""
    from rigline.api import check, read
    from rigline.findings import Severity

    report = check(read(options.spec, stage=options.stage))
    if options.format == "json":
        from rigline.outputs.json_report import report_json

        sys.stdout.write(report_json(report))
    else:
        from rigline.outputs.text import report_text

        sys.stdout.write(report_text(report))
    return Exit.FINDINGS if report.fails(Severity(options.fail_on)) else Exit.CLEAN
