"""From a study and its report to the sheets of the one-line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import TYPE_CHECKING

import msgspec

from rigline.checks.run import Report
from rigline.drawing.symbols import symbols_of
from rigline.errors import CommandError
from rigline.findings import Finding
from rigline.layout.contract import one_line
from rigline.layout.oneline import Judgement, OneLine
from rigline.layout.part import KINDS, kind_part, place_part
from rigline.layout.place import place
from rigline.layout.plan import CHANGE, SHEET_SIZES, SheetPlan
from rigline.layout.poles import both_poles
from rigline.model.system import System
from rigline.outputs.furniture import furniture
from rigline.study.study import Study, study

if TYPE_CHECKING:
    from rigline.changes.change import Changes  # Most drawings compare nothing, and start sooner without it.

PARTS = tuple(KINDS)
"""What can be shown besides a place."""


class View(msgspec.Struct, frozen=True):
    """Which drawing of a system is wanted."""

    sheet: str | None = None
    """a4 | a3 | letter | tabloid; None: the usual one of the profile."""
    show: str | None = None
    """dc | ac | bonds, or a place; None: everything."""
    symbols: str | None = None
    """iec | ieee; None: the set of the profile."""
    color: bool = False
    poles: bool = False
    """Both poles as conductors of their own, for fault finding."""
    changes: Changes | None = None
    """What to mark on the drawing of the new state; None: nothing."""


def sheet_plan(study: Study, report: Report, view: View | None = None) -> SheetPlan:
    """Where everything stands, on sheets of the given size (or the usual one of the profile)."""
    view = view or View()
    size = SHEET_SIZES[view.sheet or default_sheet(study)]
    return place(shown_line(study, report, view), symbols_of(symbol_set(study, view)), size)


def default_sheet(study: Study) -> str:
    """Tabloid in the United States, A3 elsewhere."""
    return "tabloid" if study.profile.name.startswith("us-") else "a3"


def symbol_set(study: Study, view: View) -> str:
    """The set that was asked for, else the profile's."""
    return view.symbols or study.profile.symbol_set


def draw_svg(study: Study, report: Report, sheet: str | None = None, view: View | None = None) -> list[str]:
    """One SVG for each sheet."""
    return list(draw_sheets(study, report, view or View(sheet=sheet))[0])


def draw_sheets(study: Study, report: Report, view: View) -> tuple[list[str], SheetPlan]:
    """One SVG for each sheet, list sheets included, and the plan of those that show the system."""
    from rigline.drawing.render import render_sheets

    plan = sheet_plan(study, report, view)
    words = furniture(study, report, plan, supplement(study.system, view), view.changes)
    return render_sheets(plan, words, symbol_set(study, view), view.color), plan


def supplement(system: System, view: View) -> str:
    """Which part and stage of the system a drawing shows, in a few words."""
    part = {"dc": "DC part", "ac": "AC part", "bonds": "Bonds and earths", None: ""}.get(view.show, str(view.show))
    poles = "both poles" if view.poles else ""
    stage = f"stage {system.stage}" if system.stage else ""
    changes = f"changes since {view.changes.since}" if view.changes else ""
    words = ", ".join(word for word in (part, poles, stage, changes) if word)
    return words[:1].upper() + words[1:]


def shown_line(now: Study, report: Report, view: View) -> OneLine:
    """The one-line of the part that a view shows, the flag of each finding and change at its place."""
    whole = now if now.system.whole is None else study(now.system.whole)
    flags, judged = _flags(report, now), _judged(report)
    if view.changes is not None:
        flags, judged = _with_changes(view.changes, flags, judged)
    line = one_line(whole, flags, staged=None if whole is now else now)
    line = both_poles(line, whole) if view.poles else line
    line = OneLine(line.stations, line.feeders, judged)
    return line if view.show is None else _part(line, view.show, whole.system)


def _part(line: OneLine, show: str, system: System) -> OneLine:
    """A part of a one-line by its name.

    Raises:
        CommandError: There is no such part, or nothing in it.
    """
    if show.casefold() in KINDS:
        part = kind_part(line, KINDS[show.casefold()])
    else:
        part = place_part(line, _place(show, system))
    if not part.stations:
        raise CommandError(f"--show {show}: this system has nothing of it to draw")
    return part


def _place(show: str, system: System) -> str:
    """A place by its name, whatever its case; CommandError if no component stands there."""
    used = sorted({component.place for component in system.components.values() if component.place})
    names = {place.casefold(): place for place in used}
    names |= {str(place.name).casefold(): id for id, place in system.places.items() if place.name and id in used}
    if show.casefold() not in names:
        places = f", or a place: {', '.join(used)}" if used else ""
        raise CommandError(f"--show {show}: nothing stands there; give {', '.join(PARTS)}{places}")
    return names[show.casefold()]


def _judged(report: Report) -> dict[int, Judgement]:
    return {n: Judgement(f.severity.value, f.waived is not None) for n, f in enumerate(report.findings, 1)}


def _with_changes(
    changes: Changes, flags: Mapping[str, tuple[int, ...]], judged: Mapping[int, Judgement]
) -> tuple[dict[str, tuple[int, ...]], dict[int, Judgement]]:
    """Flags and what they stand for, with the changes' numbers counted on behind those of the findings."""
    marked = {change.id: (len(judged) + change.number, change.number) for change in changes.changes if change.marked}
    both = {id: (*flags.get(id, ()), *(() if id not in marked else (marked[id][0],))) for id in {**flags, **marked}}
    return both, {**judged, **{number: Judgement(CHANGE, shown=shown) for number, shown in marked.values()}}


def _flags(report: Report, study: Study) -> Mapping[str, tuple[int, ...]]:
    """Numbers of findings by what they point to: the segment where there is one, else the chief component or run."""
    found: dict[str, list[int]] = defaultdict(list)
    for number, finding in enumerate(report.findings, 1):
        found[_spot(finding, study)].append(number)
    return {id: tuple(numbers) for id, numbers in found.items()}


def _spot(finding: Finding, study: Study) -> str:
    chief = next((id for id in finding.at if id in study.system.components), None)
    return chief or finding.segment or next(iter(finding.runs or finding.at), "")
