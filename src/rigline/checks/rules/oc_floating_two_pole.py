"""In an isolated system both wires are live against each other and neither is earth.

A battery switch that opens one of them leaves the other joined to everything. With a fault to metal on each pole,
which nobody notices, current goes on flowing past the open switch.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Selector, Switch
from rigline.model.system import NEGATIVE, POSITIVE
from rigline.study.study import Study

SLUG = "oc-floating-two-pole"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each battery switch of an isolated DC system that opens one pole of a circuit with two.

    Overcurrent devices on one pole show in the protection of the other pole's conductors.
    """
    if study.system.head.dc_grounding != "isolated":
        return
    for id, switch in sorted(study.system.components.items()):
        opened = {node.pole for node in study.graph.nodes_of(id) if node.terminal} & {POSITIVE, NEGATIVE}
        if isinstance(switch, Switch | Selector) and len(opened) == 1 and _at_battery(study, id):
            yield Hit((id,), words={"pole": "positive" if POSITIVE in opened else "negative"}, field="poles")


def _at_battery(study: Study, id: str) -> bool:
    """Whether a run of both poles passes a battery and the switch."""
    for run in study.system.runs:
        stops = [study.system.components[stop.component] for stop in run.stops]
        poles = {conductor.pole for segment in run.segments for conductor in segment.conductors}
        if poles >= {POSITIVE, NEGATIVE} and any(s.id == id for s in stops) and any(s.role == "storage" for s in stops):
            return True
    return False


CHECK = Check(
    slug=SLUG,
    title="battery switch on one pole of an isolated system",
    family="overcurrent",
    severity=Severity.FAULT,
    limit="In an isolated DC system the battery's switch opens both poles.",
    exceptions="Switches of single loads. Overcurrent devices on one pole: the rules on missing protection.",
    sources=(
        Source("IMO code for small vessels, 8.2.4", "verified"),
        Source("ISO 13297, fully insulated two-wire systems", "from memory"),
    ),
    message="{at} opens the {pole} only, and this DC system is isolated: a fault to metal passes beside it.",
    remedy="Fit a two-pole switch for {at}, or bond the negative at one point.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Boat with an isolated system
profile: intl-boat
body: plastic
dc-grounding: isolated
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  Q1: {kind: breaker, rating: 10 A, voltage: 32 V, interrupting: 3 kA, poles: 2}
  S1: {kind: switch, rating: 100 A, voltage: 32 V, poles: 2}
  M1: {kind: motor, name: Pump, current: 5 A, continuous: false}
runs:
  - {id: W1, path: [B1, Q1, S1, M1], lengths: [100 mm, 0.5 m, 2 m], wire: 4 mm²}
""",
        passing="32 V, poles: 2",
        failing="32 V, poles: 1",
        finds=("S1",),
    ),
)
