"""An inverter takes the largest current in most small systems, through the thickest cable, for hours. Its capacitors
and transistors fail as a short.

A device of its own must open then. One that is too small opens in daily use, and gets replaced by one that is too
large.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import exposed_hits
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.study.causes import exceeds
from rigline.study.demand import inverter_dc_draw
from rigline.study.protection import EndFlow
from rigline.study.study import ConductorStudy, Study

SLUG = "oc-inverter-dc"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Input cables without a device, and devices below the inverter's current or above what its maker allows."""
    for said in exposed_hits(study, SLUG):
        yield said if isinstance(said, Missing) else _unprotected(said)
    for one in study.conductors.values():
        for end in one.exposure.ends:
            component = study.system.components[end.node.component]
            if isinstance(component, Inverter) and end.node.terminal == "dc":
                yield from _device_hits(study, component, one)


def _unprotected(hit: Hit) -> Hit:
    wire = f"{', '.join(hit.runs)} ({hit.words['wire']})"
    what = f"{wire} can be fed from {hit.words['sources']} with more than it may have ahead"
    todo = f"Fit a device of {hit.limit:.4g} A or less where {', '.join(hit.runs)} begins, at {hit.words['end']}"
    return replace(hit, words={**hit.words, "what": what, "todo": todo})


def _device_hits(study: Study, inverter: Inverter, one: ConductorStudy) -> Iterator[Hit | Missing]:
    """The devices at the border of an inverter's own cable, seen from it."""
    ahead = one.exposure.other(_own_end(one, inverter.id))
    if len(ahead.feeding) != 1 or ahead.sources:
        return
    device = ahead.feeding[0]
    rating = study.rating_a(device)
    if rating is None:
        yield Missing((device,), f"rating of {device}")
        return
    most = inverter.max_protection_a
    if most is not None and exceeds(rating, most):
        what, todo = "its device is larger than its maker allows", f"Fit {device} with {most:.4g} A or less"
        yield _hit(inverter.id, device, one, what, rating, most, todo)
    draw = inverter_dc_draw(inverter, study.limits.volts_v(one.conductor), _chemistry(study, ahead.fed_by))
    if draw is None:
        yield Missing((inverter.id,), f"power of {inverter.id}")
    elif exceeds(draw.amps_a, rating):
        yield _hit(
            inverter.id, device, one, "its device is smaller than its input current at full power", rating, draw.amps_a,
            f"Fit {device} with {1.25 * draw.amps_a:.4g} A or the next size up, on wire that may stand behind it",
        )  # fmt: skip


def _own_end(one: ConductorStudy, id: str) -> EndFlow:
    return one.exposure.a if one.exposure.a.node.component == id else one.exposure.b


def _chemistry(study: Study, sources: tuple[str, ...]) -> str | None:
    found = {getattr(study.system.components[id], "chemistry", None) for id in sources}
    return next(iter(found)) if len(found) == 1 else None


def _hit(id: str, device: str, one: ConductorStudy, what: str, found: float, limit: float, todo: str) -> Hit:
    return Hit(
        at=(id, device), found=found, limit=limit, unit="A", runs=(one.conductor.run,), segment=one.conductor.segment,
        words={"what": what, "todo": todo, "flow": f"{found:.4g} A"},
    )  # fmt: skip


CHECK = Check(
    slug=SLUG,
    title="inverter input without a suitable device",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "What can flow into the cable is at most the largest device it may have; the device is at least the input "
        "current at full power and lowest voltage, and at most what the maker allows."
    ),
    exceptions="The battery's main device serves if the inverter is all that stands behind it.",
    sources=(
        Source("NEC 706.30 and 710.15, input current at lowest voltage", "from memory"),
        Source("a fuse in each ungrounded battery conductor", "common practice"),
    ),
    message="{all}: {what}, {flow} against {limit} {unit}.",
    remedy="{todo}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Inverter on the house bus
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA,
       disconnect: true, charge-display: true, max-discharge: 100 A}
  F1: {kind: fuse, style: anl, rating: 200 A}
  BUS1: {kind: busbar, rating: 250 A}
  F2: {kind: fuse, style: anl, rating: 100 A}
  INV1: {kind: inverter, power: 600 W, output: 120 V, efficiency: 90 %, internal-receptacles: true,
         gfci: true, neutral-bond: fixed, metal-case: false}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.8 m], wire: 2 AWG}
  - {id: W2, path: [BUS1, F2, INV1.dc], lengths: [100 mm, 0.8 m], wire: 4 AWG}
  - {id: W3, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="F2: {kind: fuse, style: anl, rating: 100 A}",
        failing="F2: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("INV1",),
    ),
)
