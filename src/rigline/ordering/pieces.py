"""The pieces of wire that are cut: from one joint to the next, by pole.

On a one-line a run passes its fuse as one line; under the bench the positive is cut there and the negative isn't. A
fuse or breaker that sits in a panel has no wire of its own, so the wire starts at the panel.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from msgspec import Struct

from rigline.kinds.devices import Overcurrent, Rcd
from rigline.kinds.distribution import AcPanel, DcPanel, FuseBlock
from rigline.kinds.sources import Battery, VehicleBattery
from rigline.model.conductors import broken_poles
from rigline.model.system import EARTH, HOT_LEGS, POSITIVE, Conductor, Run, Segment
from rigline.ordering.ends import End, end_at
from rigline.ordering.item import State, state_of
from rigline.standards.supplies import colour_of
from rigline.standards.wire import WireSize
from rigline.study.study import Study

DEFAULT_SLACK_FRAC = 0.10
"""Extra wire on the route where the spec has no `slack`. Source: common practice, 10 to 15 %."""
TO_MEASURE_M = 0.5
"""A shorter piece is cut to measure, without slack: a fuse may stand only so far from its source. Source: common
practice."""
SOLID_MOST_MM2 = 5.3
"""Building cable in US cabins is solid up to 10 AWG. Source: common practice."""


class Piece(Struct, frozen=True):
    """One piece of wire, or of multicore cable, with what it ends on."""

    id: str
    run: str
    segments: tuple[str, ...]
    """The stretches that it goes through."""
    pole: str
    """+ - PE S and so on; the cores in one word for a cable, as in L1 N PE."""
    cores: tuple[str, ...]
    """Cores of a cable; empty for a single wire."""
    size: WireSize | None
    colour: str
    count: int
    """Alike pieces in parallel."""
    length_m: float | None
    """Planned, along the route, one way; None if not known for this piece."""
    share_m: float | None
    """The same, or its share where only the sum of several pieces is known; None if nothing is known."""
    cut_m: float | None
    """Planned length with slack."""
    start: End
    end: End
    medium: str
    insulation_c: float
    strand: str
    """fine, stranded or solid."""
    sunlight: bool
    material: str
    state: State
    sized: bool

    @property
    def solid(self) -> bool:
        """Whether its conductor is one solid wire, which takes no ferrule."""
        return self.strand == "solid"

    @property
    def ends(self) -> tuple[End, End]:
        """Both ends."""
        return self.start, self.end


def pieces(study: Study) -> tuple[Piece, ...]:
    """Every piece of every run, in the order of the spec. Leads that a maker fitted are among them, not to be cut."""
    return tuple(piece for run in study.system.runs for piece in _of_run(study, run))


def _of_run(study: Study, run: Run) -> Iterator[Piece]:
    if run.carries == "data":
        return
    poles = tuple(c.pole for c in run.segments[0].conductors)
    for group in (poles,) if run.carries == "cores" and len(poles) > 1 else tuple((pole,) for pole in poles):
        for first, last in _stretches(study, run, group):
            if first == last and _is_on_post(study, run.segments[first]):
                continue
            yield _piece(study, run, group, run.segments[first : last + 1])


def _stretches(study: Study, run: Run, poles: tuple[str, ...]) -> Iterator[tuple[int, int]]:
    """First and last segment of every piece: a piece ends where the run's end is or a pole of it is cut."""
    begin, last = 0, len(run.segments) - 1
    for index in range(last + 1):
        if index == last or (_is_cut(study, run, poles, index + 1) and not _is_seated(study, run, index + 1)):
            yield begin, index
            begin = index + 1


def _is_cut(study: Study, run: Run, poles: tuple[str, ...], stop: int) -> bool:
    """Whether a piece ends at a stop in the middle of a path."""
    system = study.system
    component = system.components[run.stops[stop].component]
    if component.role != "inline":
        return True
    all_poles = tuple(c.pole for c in run.segments[0].conductors)
    broken = broken_poles(component, all_poles, run.carries, system.head.dc_grounding)
    nodes = [c.b for c in run.segments[stop - 1].conductors if c.pole in poles]
    others = any(c.run != run.id for node in nodes for c in study.graph.conductors_at(node))
    return others or any(pole in broken for pole in poles)


def _is_seated(study: Study, run: Run, stop: int) -> bool:
    return _panel_of(study, run, stop) is not None


def _panel_of(study: Study, run: Run, stop: int) -> int | None:
    """The stop of the panel that the device at a stop sits in: no length of its own leads to it. None if it has one."""
    parts = study.system.components
    if not isinstance(parts[run.stops[stop].component], Overcurrent | Rcd) or run.spec.lengths_m is not None:
        return None
    neighbours = (side for side in (stop - 1, stop + 1) if 0 <= side < len(run.stops))
    return next(
        (side for side in neighbours if isinstance(parts[run.stops[side].component], FuseBlock | DcPanel | AcPanel)),
        None,
    )


def _is_on_post(study: Study, segment: Segment) -> bool:
    """Whether a stretch is no wire but the fuse's own bracket: it sits on the battery's post."""
    ends = [study.system.components[id] for id in (segment.start.component, segment.end.component)]
    return any(isinstance(part, Overcurrent) and part.on_post for part in ends) and any(
        isinstance(part, Battery | VehicleBattery) for part in ends
    )


def seated(study: Study) -> frozenset[str]:
    """Devices that sit in a panel or fuse block."""
    return frozenset(
        run.stops[stop].component
        for run in study.system.runs
        for stop in range(len(run.stops))
        if _is_seated(study, run, stop)
    )


def _piece(study: Study, run: Run, poles: tuple[str, ...], segments: tuple[Segment, ...]) -> Piece:
    chain = [_conductor(segment, poles[0]) for segment in segments]
    cable = len(poles) > 1
    size = study.wiring.size(chain[0])
    whole = len(list(_stretches(study, run, poles))) == 1
    share = _sum([c.length_m for c in chain])
    length = share if run.spec.lengths_m is not None or whole else None
    start, end = _ends(study, run, segments, chain)
    return Piece(
        id=_id(run, segments, "" if cable else _mark(poles[0])),
        run=run.id,
        segments=tuple(segment.id for segment in segments),
        pole=" ".join(poles),
        cores=poles if cable else (),
        size=size,
        colour=_colour(study, run, poles),
        count=run.spec.conductors,
        length_m=length,
        share_m=share,
        cut_m=None if share is None else _with_slack(study, share),
        start=start,
        end=end,
        medium=run.medium,
        insulation_c=study.limits.circumstances(run).insulation_c or study.profile.insulation_c.value,
        strand=_strand(study, run, size),
        sunlight=bool(run.spec.sunlight_resistant),
        material=study.limits.circumstances(run).material,
        state=state_of(run.spec),
        sized=run.id in study.sizes.wires,
    )


def _ends(study: Study, run: Run, segments: tuple[Segment, ...], chain: list[Conductor]) -> tuple[End, End]:
    parts, begin, end = study.system.components, segments[0].index, segments[-1].index + 1
    a, b, size = chain[0].a, chain[-1].b, study.wiring.size(chain[0])
    first, last = begin == 0, end == len(run.segments)
    # The way is where the hot conductor lands; the return lands on the bar beside it.
    hot = chain[0].pole in (POSITIVE, *HOT_LEGS)
    ways = [
        run.stops[stop].component if hot and end - begin > 1 and _panel_of(study, run, stop) == side else ""
        for stop, side in ((begin + 1, begin), (end - 1, end))
    ]
    return (
        end_at(parts[a.component], a, run, size, first=first, last=False, way=ways[0]),
        end_at(parts[b.component], b, run, size, first=False, last=last, way=ways[1]),
    )


def _conductor(segment: Segment, pole: str) -> Conductor:
    return next(c for c in segment.conductors if c.pole == pole)


def _sum(lengths: list[float | None]) -> float | None:
    known = [float(length) for length in lengths if length is not None]
    return sum(known) if len(known) == len(lengths) else None


def slack_frac(study: Study) -> float:
    """Extra wire on the route: what the spec says, else 10 %."""
    stated = study.system.defaults.slack_frac
    return DEFAULT_SLACK_FRAC if stated is None else stated


def _with_slack(study: Study, length_m: float) -> float:
    return length_m if length_m <= TO_MEASURE_M else length_m * (1 + slack_frac(study))


def _id(run: Run, segments: tuple[Segment, ...], mark: str) -> str:
    if len(segments) == len(run.segments):
        return run.id + mark
    letters = [segment.id[len(run.id) :] for segment in segments]
    return run.id + (letters[0] if len(letters) == 1 else f"{letters[0]}-{letters[-1]}") + mark


def _mark(pole: str) -> str:
    return {"N-PE": "N", "link": "", EARTH: "", "S": ""}.get(pole, pole)


def _strand(study: Study, run: Run, size: WireSize | None) -> str:
    """How a conductor is built: as the spec says, else stranded, but for the small building cable of US cabins."""
    stated = run.spec.strand or study.system.defaults.strand
    building = study.system.profile_name == "us-cabin" and run.medium == "ac"
    return stated or ("solid" if building and size is not None and size.area_mm2 <= SOLID_MOST_MM2 else "stranded")


def _colour(study: Study, run: Run, poles: tuple[str, ...]) -> str:
    """What the run says, pole by pole if it names one for each; else what the rules ask for."""
    stated = [part.strip() for part in (run.spec.color or "").replace(" and ", "/").split("/") if part.strip()]
    there = [c.pole for c in run.segments[0].conductors]
    if stated and len(stated) == len(there):
        return "/".join(stated[there.index(pole)] for pole in poles)
    if stated:
        return " and ".join(stated)
    # A cable with one hot core is sold with the first leg's colour, whichever leg feeds it.
    one_leg = len(poles) > 1 and "L1" not in poles
    return "/".join(
        _usual_colour(study.system.profile_name, run.carries, "L1" if one_leg and pole == "L2" else pole)
        for pole in poles
    )


@cache
def _usual_colour(profile: str, carries: str, pole: str) -> str:
    if carries == "bond":
        return colour_of(profile, "bond")
    return colour_of(profile, {"link": "-", "N-PE": "PE"}.get(pole, pole))
