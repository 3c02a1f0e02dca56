"""A 12 V device on 24 V burns out, and a 24 V one on 12 V does nothing.

Half the voltage is merely annoying; double the voltage drives twice the current through parts that were sized for one,
and they smoke before a fuse can tell.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, ChargeController, DcToDc, Inverter
from rigline.kinds.loads import Load
from rigline.kinds.sources import Turning
from rigline.model.system import Node
from rigline.study.potentials import SAME_VOLTAGE_FRAC
from rigline.study.study import Study

SLUG = "sc-voltage-mismatch"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each DC terminal whose component is made for another voltage than its net has."""
    for id, component in sorted(study.system.components.items()):
        for terminal, made_for in _made_for(component):
            plus, minus = Node(id, terminal, "+"), Node(id, terminal, "-")
            volts = study.potentials.between(plus, minus)
            if volts is None or volts <= 0 or not made_for or _in_range(component, volts):
                continue
            if study.potentials.contradicts(plus):
                continue  # Which of two voltages stands there, nobody can say; dg-short-circuit speaks of it.
            if not any(abs(volts - own) <= SAME_VOLTAGE_FRAC * own for own in made_for):
                nearest = min(made_for, key=lambda own: abs(own - volts))
                yield Hit(
                    (id,), volts, nearest, "V", _runs(study, plus), words={"terminal": terminal or "its terminals"}
                )


def _runs(study: Study, node: Node) -> tuple[str, ...]:
    return tuple(sorted({c.run for c in study.graph.conductors_at(node)}))


def _made_for(component: Component) -> Iterator[tuple[str, list[float]]]:
    """Each DC terminal with the nominal voltages that its component is made for there."""
    if isinstance(component, Load | Turning):
        yield "", _known(component.voltage_v)
    elif isinstance(component, ChargeController):
        listed = [float(one) for one in re.findall(r"\d+(?:\.\d+)?", component.voltages or "")]
        yield "battery", listed or _known(component.battery_voltage_v)
    elif isinstance(component, DcToDc):
        yield "in", _known(component.input_v)
    elif isinstance(component, Inverter):
        yield "dc", _known(component.dc_voltage_v or component.voltage_v)
    elif isinstance(component, AcCharger):
        for terminal in ("dc", "dc1", "dc2", "dc3"):
            yield terminal, _known(component.dc_voltage_v or component.voltage_v)


def _known(volts_v: float | None) -> list[float]:
    return [] if volts_v is None else [float(volts_v)]


def _in_range(component: Component, volts_v: float) -> bool:
    """Whether a component states a range that holds the voltage."""
    least, most = getattr(component, "min_voltage_v", None), getattr(component, "max_voltage_v", None)
    return least is not None and most is not None and least <= volts_v <= most


CHECK = Check(
    slug=SLUG,
    title="part made for another voltage",
    family="sources & charging",
    severity=Severity.DANGER,
    limit=(
        f"The nominal voltage of a part is that of its net within {SAME_VOLTAGE_FRAC:.0%}, or its stated range holds "
        "it."
    ),
    exceptions="Parts with `min-voltage` and `max-voltage` that hold the net's voltage.",
    sources=(Source("NEC 110.3(B) and 110.4", "from memory"),),
    message="{at} is made for {limit} V but stands on {found} V: too much voltage burns it, too little stops it.",
    remedy="Feed {at} through a converter to {limit} V, or use one made for {found} V.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Lamps on a 24 V bank
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 24 V, capacity: 50 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  LT1: {kind: dc-load, name: Lamps, voltage: 24 V, current: 4 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="name: Lamps, voltage: 24 V",
        failing="name: Lamps, voltage: 12 V",
        finds=("LT1",),
    ),
)
