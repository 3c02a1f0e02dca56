"""Puts one spec through everything that Rigline makes of it, and says what must never be in the answer.

Allowed is a drawing with its reports, or a problem at a line. Not allowed: any other exception, an amount that is no
number, a control character, ill-formed output, more than the time or memory of `Limits`.
"""

from __future__ import annotations

import io
import json
import re
import resource
import signal
import traceback
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Literal

from rigline.checks.run import Report, run_checks
from rigline.energy.assumption import Notes
from rigline.energy.balance import balance
from rigline.energy.report_facts import EnergyReport
from rigline.energy.setting import setting_of
from rigline.energy.sizing import proposals
from rigline.energy.steps import advice
from rigline.errors import CommandError, SpecError
from rigline.model.build import build_system
from rigline.notes.notes import notes_of
from rigline.ordering.order import order_of
from rigline.outputs.derivation import derivation
from rigline.outputs.draw import View, draw_sheets
from rigline.outputs.json_report import report_json, schedule_json
from rigline.outputs.label_pages import label_pages, media
from rigline.outputs.labels import labels, labels_csv
from rigline.outputs.markdown_report import report_markdown
from rigline.outputs.notes.content import document_of
from rigline.outputs.notes.html import notes_html
from rigline.outputs.notes.markdown import notes_markdown
from rigline.outputs.order_json import order_json
from rigline.outputs.order_text import ORDERS
from rigline.outputs.page.build import drawing_page
from rigline.outputs.sarif import reports_sarif
from rigline.outputs.schedules import SCHEDULES
from rigline.outputs.sizes import sizes_text
from rigline.outputs.text import report_text
from rigline.results.energy import Energy
from rigline.spec.load import load_document
from rigline.spec.reading import Syntax, read_bytes
from rigline.study.study import Study, study

SECONDS = 10
"""More processor time than this for a file under 1 MB is a hang."""
MEMORY_BYTES = 1_000_000_000
NO_NUMBER = re.compile(r"(?<![\w.-])[-+]?(?:nan|inf|infinity)(?![\w-])", re.I)
CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
FAULTS = re.compile(r"Traceback|fault of Rigline")
SCRIPT = re.compile(r"<(script|style)>.*?</\1>", re.S)
"""Of a page: our own, the same for every spec."""
Answer = Literal["drawn", "refused"]


class Fault(Exception):
    """The answer to a spec holds what it must not hold."""


class TooLong(BaseException):
    """Not an Exception, so that nothing on the way catches it."""


@dataclass(frozen=True)
class Outcome:
    """What became of one spec."""

    answer: Answer | Literal["fault"]
    about: str = ""
    """Of a fault: its last lines."""


@contextmanager
def limits() -> Iterator[None]:
    """Ends what takes too much processor time, so that other work on the machine does not count, or too much memory."""

    def ring(*_: object) -> None:
        raise TooLong

    before = resource.getrlimit(resource.RLIMIT_AS)
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    resource.setrlimit(resource.RLIMIT_AS, (pages * resource.getpagesize() + MEMORY_BYTES, before[1]))
    old = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, old)
        resource.setrlimit(resource.RLIMIT_AS, before)


def tried(data: bytes, syntax: Syntax = "yaml", draws: bool = True) -> Outcome:
    """What becomes of a spec; drawing it can be left out, for it takes most of the time."""
    try:
        with limits():
            return Outcome(answer(data, syntax, draws))
    except TooLong:
        return Outcome("fault", f"hangs: {SECONDS} s")
    except Exception as error:  # whatever it is, it is what we look for
        frames = traceback.extract_tb(error.__traceback__)[-3:]
        where = " < ".join(f"{Path(frame.filename).name}:{frame.lineno}" for frame in reversed(frames))
        return Outcome("fault", f"{type(error).__name__}: {error} ({where})")


def answer(data: bytes, syntax: Syntax = "yaml", draws: bool = True) -> Answer:
    """What becomes of a spec.

    Raises:
        Fault: The answer holds what it must not hold. Any other exception is a fault as well.
    """
    try:
        tree = read_bytes(data, "spec", syntax)
        system = build_system(load_document(tree), tree)
    except SpecError as error:
        _require_problems(error)
        return "refused"
    judge(study(system), data.decode("utf-8", "replace"), draws)
    return "drawn"


def _require_problems(error: SpecError) -> None:
    """At least one problem, each on one line of its own, at a place in the text."""
    if not error.problems:
        raise Fault("refused without a problem")
    for problem in error.problems:
        text = problem.text()
        if problem.line < 1 or not text.isprintable():
            raise Fault(f"problem without a line, or with characters that can't be printed: {text!a}")


def judge(numbers: Study, source: str, draws: bool) -> None:
    """Everything that is made of a system is looked at."""
    told = bool(NO_NUMBER.search(source))
    report = run_checks(numbers)
    drawn = pictures(numbers, report) if draws else ()
    for name, text in chain(tables(numbers, report), drawn, lists(numbers), energy_texts(numbers)):
        if found := CONTROL.search(text) or FAULTS.search(text) or (None if told else NO_NUMBER.search(text)):
            raise Fault(f"{name} holds {found[0]!a}: {text[max(0, found.start() - 60) : found.end() + 40]!a}")
        if name.endswith("json"):
            json.loads(text, parse_constant=_refuse)
        elif name == "svg":
            ElementTree.parse(io.StringIO(text))


def _refuse(constant: str) -> None:
    raise Fault(f"JSON holds {constant}")


def tables(numbers: Study, report: Report) -> Iterator[tuple[str, str]]:
    """Every report and table by the name of its command."""
    yield "check text", report_text(report)
    yield "check json", report_json(report)
    yield "check sarif json", reports_sarif([report])
    yield "check markdown", report_markdown(report)
    for form, make in SCHEDULES.items():
        yield f"schedule {form}", make(numbers)
    yield "schedule json", schedule_json(numbers)
    yield "size", sizes_text(numbers)
    for word in (*numbers.system.components, *(run.id for run in numbers.system.runs)):
        yield f"explain {word}", derivation(numbers, word) or ""


def pictures(numbers: Study, report: Report) -> Iterator[tuple[str, str]]:
    """The sheets, and the page that holds them."""
    svgs, _ = draw_sheets(numbers, report, View())
    yield from (("svg", svg) for svg in svgs)
    yield "page", SCRIPT.sub("", drawing_page(numbers, report, svgs).decode())
    document = document_of(notes_of(numbers, report), tuple(svgs))
    yield "notes html", SCRIPT.sub("", notes_html(document).decode())
    yield "notes markdown", notes_markdown(document, ())


def lists(numbers: Study) -> Iterator[tuple[str, str]]:
    order = order_of(numbers)
    for form, make in ORDERS.items():
        yield f"parts {form}", make(order)
    yield "parts json", order_json(order)
    found = labels(numbers, [])
    yield "labels csv", labels_csv(found)
    yield from (("svg", page) for page in label_pages(found, media()["a4-65"]))


def energy_texts(numbers: Study) -> Iterator[tuple[str, str]]:
    notes = Notes()
    try:
        setting = setting_of(numbers.system, notes, None, None)
        found = balance(numbers, setting, notes, None)
    except CommandError:
        return
    energy = Energy(EnergyReport(found, advice(numbers, found), proposals(found)))
    for form in ("text", "json", "csv", "markdown"):
        yield f"energy {form}", energy.text(form)
