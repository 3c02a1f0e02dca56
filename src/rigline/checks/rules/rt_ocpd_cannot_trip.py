"""A fuse opens on a short circuit only if the short can draw enough current.

Along a thin long wire the wire itself limits the current. If a short at its far end draws hardly more than the rating,
the fuse sits there for minutes while the wire and whatever it touches get hot.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.unsound import currents_missing
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.model.system import Conductor, Node
from rigline.study.ac_faults import AcClearing
from rigline.study.causes import exceeds
from rigline.study.demand import ac_source_limit_a
from rigline.study.protection import EndFlow
from rigline.study.study import Study
from rigline.study.taps import is_in_a_box
from rigline.study.trips import LEAST_TIMES

SLUG = "rt-ocpd-cannot-trip"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each device that a short at the far end of its circuit would not open."""
    if study.unsound:
        yield from currents_missing(study)
        return
    yield from _dc(study)
    yield from _ac(study)


def _dc(study: Study) -> Iterator[Hit | Missing]:
    worst: dict[str, tuple[float, Node, Conductor]] = {}
    for exposure in study.exposures.values():
        # Inside a panel the stretch to a circuit's device is no wire that can be shorted far away.
        if is_in_a_box(study.graph, exposure.conductor):
            continue
        for end in exposure.ends:
            level = _level(study, end, exposure.other(end))
            if level is None:
                continue
            (device,) = end.feeding
            if device not in worst or level < worst[device][0]:
                worst[device] = level, exposure.other(end).node, exposure.conductor
    for device, (amps, node, conductor) in sorted(worst.items()):
        rating = study.rating_a(device)
        if rating is None:
            yield Missing((device,), f"rating of {device}")
        elif conductor.length_m is None or study.wiring.size(conductor) is None:
            yield Missing((device,), f"wire and length of {conductor.run}")
        elif exceeds(LEAST_TIMES * rating, amps):
            words = {"short": f"A short circuit at {node.component}", "rating": f"{rating:g}"}
            yield Hit((device,), amps, LEAST_TIMES * rating, "A", (conductor.run,), words=words, field="rating")


def _level(study: Study, end: EndFlow, far: EndFlow) -> float | None:
    """Fault current at the far end of a conductor that one device feeds; None if no battery's current gets there."""
    if len(end.feeding) != 1 or end.sources or far.node not in study.fault_levels:
        return None
    return study.fault_levels[far.node].amps_a


def _ac(study: Study) -> Iterator[Hit | Missing]:
    worst: dict[str, AcClearing] = {}
    for one in study.ac_faults.clearings:
        if not one.opens and not _carried(study, one):
            known = worst.get(one.device)
            if known is None or one.least.amps_a / one.opening.amps_a < known.least.amps_a / known.opening.amps_a:
                worst[one.device] = one
    for device, one in sorted(worst.items()):
        to = " to earth" if one.least.to == "earth" else ""
        words = {
            "short": f"A short circuit{to} at {one.node.component}, fed by {one.least.source},",
            "rating": f"{one.rating_a:g}",
        }
        run = study.system.segments_by_id[one.segment].run
        yield Hit(
            (device,), one.least.amps_a, one.opening.amps_a, "A", (run,), one.segment, words=words,
            mode=one.least.mode or None, field="rating",
        )  # fmt: skip
    yield from _ac_unknown(study)


def _carried(study: Study, one: AcClearing) -> bool:
    """Whether a source limits itself to what the wire may carry for ever, so that nothing needs to open."""
    if not one.limited:
        return False
    source = study.system.components[one.least.source]
    limit = ac_source_limit_a(source, study.system) if isinstance(source, Inverter) else None
    amps = one.least.amps_a if limit is None else limit
    wire = next(segment.ampacity_a for segment in study.segments if segment.segment.id == one.segment)
    return wire is not None and not exceeds(amps, wire)


def _ac_unknown(study: Study) -> Iterator[Missing]:
    """AC sources that don't state what they give into a short; not those that every wire can carry for ever."""
    thinnest = min(
        (one.ampacity_a for one in study.segments if one.segment.medium == "ac" and one.ampacity_a), default=0
    )
    for id, keys in sorted(study.ac_faults.missing_least.items()):
        source = study.system.components[id]
        limit = ac_source_limit_a(source, study.system) if isinstance(source, Inverter) else None
        if limit is None or exceeds(limit, thinnest):
            yield Missing((id,), f"{' and '.join(keys)} of {id}")


CHECK = Check(
    slug=SLUG,
    title="overcurrent device that a far short circuit cannot open",
    family="overcurrent",
    severity=Severity.FAULT,
    limit=(
        "A short at the far end of the circuit draws at least twice the rating (five times for quick clearing). AC "
        "breakers that state a curve: 5, 10 or 20 times for B, C and D. AC is judged from hot to neutral and from hot "
        "to earth, from each source."
    ),
    exceptions=(
        "Sources that limit themselves to what the wire may carry for ever, such as most inverters; earth faults "
        "behind a residual-current device."
    ),
    sources=(
        Source("IEC 60364-4-41 and 4-43, disconnection in time", "from memory"),
        Source("IEC 60898-1, instantaneous bands B, C and D", "from memory"),
        Source("IEC 60909-0, least short-circuit current", "from memory"),
        Source("twice the rating", "common practice"),
    ),
    message=(
        "{short} draws only {found} A, but {at} ({rating} A) needs {limit} A to open soon: the wire would stay hot "
        "meanwhile."
    ),
    remedy="Fit a smaller or faster device for {at}, or run {runs} in a thicker wire.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A lamp at the end of a long thin wire
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 5 A}
  LT1: {kind: dc-load, name: Chart lamp, current: 0.5 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 15 m], wire: 16 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="rating: 5 A",
        failing="rating: 25 A",
        finds=("F1",),
    ),
)
