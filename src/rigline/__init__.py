"""Rigline reads the component list of a small electrical system, checks it, sizes it and draws its one-line diagram.

It is a plan, not an approval: local codes and a licensed electrician decide.

    read(file)          the system that a spec describes; SpecError holds every problem of a wrong one, with its line
    read_state(name)    the same, or as git has it: boat.yaml@HEAD~1
    check(system)       what is dangerous, wrong or unclear, and what could not be judged
    size(system)        the wires and ratings that were left open, with the reasons
    schedule(system)    every wire segment from-to with its numbers
    draw(system)        the one-line diagram: svgs, and files(name, form) for svg, pdf, png, html
    energy(system)      loads, battery and sources over a day and a typical year
    order(system)       what to order, cut and borrow
    notes(system)       what it is built, tested and inspected by: files(name, form) for html, md, pdf
    changes(old, new)   what is different between two states
    draw_changes(them)  the one-line diagram of the new state with every change marked
    study_of(system)    every number behind these
    explain(word)       what a rule, kind, key or term means

Every result has `text(form)`, says itself in a notebook when it is the last line of a cell, and is plain data:

    >>> import rigline
    >>> system = rigline.read("specs/faulty.yaml")
    >>> report = rigline.check(system)
    >>> [finding.severity.value for finding in report.findings][:2]
    ['danger', 'danger']
    >>> rigline.draw(system).svgs[0].startswith("<svg")
    True
"""

from typing import TYPE_CHECKING, Any

from rigline.api import (
    changes,
    check,
    draw,
    draw_changes,
    energy,
    explain,
    notes,
    order,
    read,
    read_state,
    schedule,
    size,
    study_of,
)
from rigline.errors import CommandError, Problem, SpecError
from rigline.findings import Finding, NotAssessed, Severity
from rigline.version import VERSION

if TYPE_CHECKING:
    from rigline.model.system import System
    from rigline.results.changes import Changes
    from rigline.results.drawing import Drawing
    from rigline.results.energy import Energy
    from rigline.results.notes import BuildNotes
    from rigline.results.order import Order
    from rigline.results.report import Report
    from rigline.results.schedule import Schedule
    from rigline.results.sizing import Sizing
    from rigline.study.sizing import Choice
    from rigline.study.study import SegmentStudy, Study

__version__ = VERSION

__all__ = [
    "BuildNotes",
    "Changes",
    "Choice",
    "CommandError",
    "Drawing",
    "Energy",
    "Finding",
    "NotAssessed",
    "Order",
    "Problem",
    "Report",
    "Schedule",
    "SegmentStudy",
    "Severity",
    "Sizing",
    "SpecError",
    "Study",
    "System",
    "changes",
    "check",
    "draw",
    "draw_changes",
    "energy",
    "explain",
    "notes",
    "order",
    "read",
    "read_state",
    "schedule",
    "size",
    "study_of",
]

_HOMES = {
    "BuildNotes": "rigline.results.notes",
    "Changes": "rigline.results.changes",
    "Choice": "rigline.study.sizing",
    "Drawing": "rigline.results.drawing",
    "Energy": "rigline.results.energy",
    "Order": "rigline.results.order",
    "Report": "rigline.results.report",
    "Schedule": "rigline.results.schedule",
    "SegmentStudy": "rigline.study.study",
    "Sizing": "rigline.results.sizing",
    "Study": "rigline.study.study",
    "System": "rigline.model.system",
}
"""Types that are loaded when they are first named: a command that needs none of them starts sooner."""


def __getattr__(name: str) -> Any:
    """A type of a result, by its name."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
