"""A fuse beside a charger guards the wrong end of the wire.

What can burn the wire is the battery, and a short of the wire is fed by it from the far end, without passing the
fuse. The charger gives too little ever to open it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import Inverter
from rigline.study.causes import exceeds
from rigline.study.demand import charging_output_a
from rigline.study.distances import Stub, Stubs
from rigline.study.storage import charges_at
from rigline.study.study import Study

SLUG = "rt-ocpd-wrong-end"
OPENS_FRAC = 1.35
"""A device opens for certain only above this share of its rating. Source: UL 248-14 and UL 489 trip at 135 %, from
memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each charger's only device that stands far from the battery and near a source too weak to open it."""
    for stub in Stubs(study).of_batteries:
        beyond = _charger_beyond(study, stub)
        rating = study.rating_a(stub.device)
        if not stub.is_long or beyond is None or rating is None:
            continue
        charger, amps = beyond
        if not exceeds(amps, OPENS_FRAC * rating):
            words = {"battery": stub.source, "charger": charger, "amps": f"{amps:.4g}", "rating": f"{rating:.4g}"}
            yield Hit((stub.device, stub.source), stub.tap.known_m, stub.most_m, "m", stub.runs, words=words)


def _charger_beyond(study: Study, stub: Stub) -> tuple[str, float] | None:
    """The charger at the other end of the run in which battery and device stand, with what it gives."""
    if len(stub.runs) != 1:
        return None
    stops = study.system.run(stub.runs[0]).stops
    ends = {stops[0].component: stops[0].exit, stops[-1].component: stops[-1].entry}
    if stub.source not in ends or stub.device not in {stop.component for stop in stops}:
        return None
    for id, terminal in ends.items():
        component = study.system.components[id]
        output = charging_output_a(component, None)
        if not isinstance(component, Inverter) and charges_at(component, terminal) and output is not None:
            return id, output
    return None


CHECK = Check(
    slug=SLUG,
    title="fuse at the charger's end of its wire",
    family="overcurrent",
    severity=Severity.DANGER,
    limit="The device of a charger's lead stands at the battery, within the length that the rule set allows there.",
    exceptions="A further device at the battery.",
    sources=(Source("NEC 690.9(A)", "verified"), Source("ABYC E-11.10", "from memory")),
    message=(
        "{at} stands at {charger}, {found} {unit} from {battery} (at most {limit} {unit}): a short of {runs} is fed by "
        "{battery} past it, and the {amps} A of {charger} never open its {rating} A."
    ),
    remedy="Move {at} to {battery}, within {limit} {unit} of its post along {runs}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: One module and its controller
profile: us-boat
body: plastic
conditions: {coldest: 0 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 80 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 30 A}
  SC1: {kind: charge-controller, output: 20 A, max-input: 50 V, method: pwm}
  PV1: {kind: pv-array, pmax: 100 W, vmp: 18 V, imp: 5.6 A, voc: 22 V, isc: 6 A, max-series-fuse: 15 A, frame: none,
        disconnect: true}
  GND: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [B1, F1, SC1.battery], lengths: [0.1 m, 1 m], wire: 8 AWG}
  - {id: W2, path: [PV1, SC1.pv], length: 2 m, wire: 10 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 8 AWG}
""",
        passing="lengths: [0.1 m, 1 m]",
        failing="lengths: [1 m, 0.1 m]",
        finds=("F1", "B1"),
    ),
)
