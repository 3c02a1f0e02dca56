"""All facts of the build notes in one object, from which every form of them is written."""

from __future__ import annotations

from msgspec import Struct

from rigline.checks.run import Report
from rigline.findings import Severity
from rigline.notes.cautions import cautions_of
from rigline.notes.dead import dead_tests
from rigline.notes.entries import Group, Step, Task
from rigline.notes.fuses import FuseLine, fuses
from rigline.notes.install_dead import dead_steps
from rigline.notes.install_live import LiveSteps
from rigline.notes.live import live_tests
from rigline.notes.panels import Panel, panels
from rigline.notes.ways import Ways
from rigline.ordering.order import Order, order_of
from rigline.study.study import Study


class Notes(Struct, frozen=True):
    """What one system, or one stage of it, is built, tested and inspected by."""

    study: Study
    report: Report
    order: Order
    cautions: tuple[str, ...]
    """Of this system, beside those that every sheet carries."""
    panels: tuple[Panel, ...]
    fuses: tuple[FuseLine, ...]
    steps: tuple[Step, ...]
    dead: tuple[Group, ...]
    live: tuple[Group, ...]
    """Empty, as are the steps with voltage on, while the plan has a danger or fault that is not waived."""


def notes_of(study: Study, report: Report) -> Notes:
    """The notes of a system.

    Args:
        study: The system with its numbers.
        report: What the rules said of it.
    """
    order, ways = order_of(study), Ways(study)
    sound = not report.fails(Severity.FAULT)
    live = LiveSteps(study, order, ways).steps() if sound else (_NOT_YET,)
    steps = (*dead_steps(study, report, order, ways), *live)
    return Notes(
        study=study,
        report=report,
        order=order,
        cautions=cautions_of(study),
        panels=panels(study),
        fuses=fuses(study),
        steps=tuple(step for step in steps if step.tasks),
        dead=dead_tests(study, order),
        live=live_tests(study) if sound else (),
    )


_NOT_YET = Step(
    "Nothing live",
    "How to connect the battery, put in the fuses and test with voltage on is left out of these notes.",
    (Task("Stop here. The plan has findings that are dangers or faults: mend it, then make these notes anew.", True),),
)
