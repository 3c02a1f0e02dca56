"""The system as the later stages see it: frozen, in base units, nothing left to be read two ways."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import AbstractContextManager
from functools import cached_property
from typing import Literal, NamedTuple

from msgspec import Struct, field

from rigline.kinds import Component
from rigline.spec.document import Conditions, Defaults, Head, Place, Revision, RunSpec, Supply, Waiver
from rigline.standards.wire import WireSize
from rigline.unit_system import UnitSystem, shown_in

Medium = Literal["dc", "ac", "earth", "control"]
POSITIVE, NEGATIVE, EARTH, NEUTRAL = "+", "-", "PE", "N"
HOT_LEGS = ("L1", "L2")
"""Hot conductors of AC; a spec's L is L1."""


class Node(NamedTuple):
    """One pole of one terminal: what a conductor's end is joined to."""

    component: str
    terminal: str
    pole: str
    """+ - L1 L2 N PE, or S for control leads."""

    def __str__(self) -> str:
        terminal = f".{self.terminal}" if self.terminal else ""
        return f"{self.component}{terminal} {self.pole}"


class Mark(NamedTuple):
    """Where something stands in the spec's text."""

    line: int
    column: int


class Stop(Struct, frozen=True):
    """A component on a run's path with the terminals at which the run reaches and leaves it."""

    component: str
    entry: str
    """Terminal towards the path's start."""
    exit: str
    """Terminal towards the path's end; the same unless the component stands in line."""
    pole: str = ""
    """The pole that the author named, as in B1-."""


class Conductor(Struct, frozen=True):
    """One conductor of one segment, from node to node."""

    id: str
    """The segment's id and the pole, as in W1a+."""
    segment: str
    run: str
    pole: str
    a: Node
    b: Node
    wire: WireSize | None
    """None if the size was left open or is unknown."""
    length_m: float | None
    """One way, for this conductor; a share of the run's length where only the sum is known."""


class Segment(Struct, frozen=True):
    """One stretch of a run, between two neighbours on its path."""

    id: str
    run: str
    index: int
    start: Stop
    end: Stop
    medium: Medium
    carries: str
    """pair | cores | positive | negative | link | bond | earth | neutral-bond | sense | data"""
    length_m: float | None
    """One way. None if not known for this stretch."""
    share_m: float | None
    """One way: the length, or an equal share of the run's where only the sum is known."""
    conductors: tuple[Conductor, ...]


class Run(Struct, frozen=True):
    """One circuit of the spec with its stretches."""

    id: str
    named: bool
    """Whether the author gave the id."""
    spec: RunSpec
    medium: Medium
    carries: str
    stops: tuple[Stop, ...]
    segments: tuple[Segment, ...]
    mark: Mark

    @property
    def length_m(self) -> float | None:
        """One way, the whole path; None if any stretch is unknown."""
        shares = [segment.share_m for segment in self.segments]
        return None if None in shares else sum(share for share in shares if share is not None)


class System(Struct, frozen=True, dict=True):
    """A whole system, or one stage of it."""

    file: str
    digest: str
    """SHA-256 of the spec, or of it and its parts files, in hexadecimal."""
    head: Head
    conditions: Conditions
    defaults: Defaults
    supply: Supply | None
    places: Mapping[str, Place]
    components: Mapping[str, Component]
    runs: tuple[Run, ...]
    waivers: tuple[Waiver, ...] = ()
    revisions: tuple[Revision, ...] = ()
    marks: Mapping[str, Mark] = field(default_factory=dict)
    """Where each component and run stands in the text; `B1.rating` for a field."""
    stage: str | None = None
    whole: System | None = None
    """With every stage, if this is one of them."""
    text: str = ""
    """The spec as it was read; `line` quotes it."""
    units: UnitSystem = "metric"
    """System in which computed lengths, masses and temperatures are printed: that of most of the author's lengths."""
    converted: bool = False
    """Whether the author's own amounts are printed in it too, because it was asked for."""

    @cached_property
    def segments(self) -> tuple[Segment, ...]:
        """All stretches of all runs, in the order of the spec."""
        return tuple(segment for run in self.runs for segment in run.segments)

    @cached_property
    def runs_by_id(self) -> Mapping[str, Run]:
        """Every run by its id."""
        return {run.id: run for run in self.runs}

    @cached_property
    def segments_by_id(self) -> Mapping[str, Segment]:
        """Every segment by its id."""
        return {segment.id: segment for segment in self.segments}

    @cached_property
    def runs_at(self) -> Mapping[str, tuple[Run, ...]]:
        """The runs on whose path each component stands, in the order of the spec."""
        found: dict[str, dict[str, Run]] = {}
        for run in self.runs:
            for stop in run.stops:
                found.setdefault(stop.component, {})[run.id] = run
        return {id: tuple(runs.values()) for id, runs in found.items()}

    @property
    def profile_name(self) -> str:
        """The profile; the spec's reader made sure there is one."""
        return str(self.head.profile)

    def shown(self) -> AbstractContextManager[None]:
        """Amounts are printed in this system's units while this lasts."""
        return shown_in(self.units, self.converted)

    def run(self, id: str) -> Run:
        """The run of an id; KeyError if there is none."""
        return self.runs_by_id[id]

    @cached_property
    def _lines(self) -> list[str]:
        return self.text.split("\n")

    def line(self, number: int) -> str:
        """A line of the spec, counted from 1; empty if there is none."""
        return self._lines[number - 1] if 0 < number <= len(self._lines) else ""

    def mark(self, id: str) -> Mark:
        """Where a component, run or `component.key` stands in the spec."""
        return self.marks.get(id) or self.marks.get(id.split(".")[0]) or Mark(1, 1)
