"""An appliance on the wrong mains burns out, or stalls and then burns out.

Twice the voltage is four times the heat. A motor made for 60 Hz runs slow and hot on 50 Hz, and a transformer made for
60 Hz saturates. Read the plate before the plug fits.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.converters import AcCharger, Inverter, Transformer
from rigline.kinds.loads import Load
from rigline.model.system import HOT_LEGS
from rigline.study.ac_reach import Feed, feeds
from rigline.study.demand import leg_voltage_v
from rigline.study.study import Study

SLUG = "ac-voltage-frequency"
SPREAD_FRAC = 0.10
"""How far nominal voltages may lie apart and still be one: 110 and 120 V, 220 and 240 V. Common practice; supplies
vary by as much (IEC 60038)."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each appliance whose stated voltage or frequency is not that of a source that feeds it."""
    seen: set[tuple[str, str]] = set()
    for feed in feeds(study):
        for id in sorted(feed.reached):
            said = None if (id, feed.source) in seen else _judge(study, feed, study.system.components[id])
            if said is not None:
                seen.add((id, feed.source))
                yield said


def _judge(study: Study, feed: Feed, one: Component) -> Hit | Missing | None:
    source = study.system.components[feed.source]
    legs = {node.pole for node in feed.hot if node.component == one.id and node.pole in HOT_LEGS}
    given, wanted = leg_voltage_v(source, study.system) * len(legs), _voltage_v(one, len(legs))
    if wanted is not None and not _stands(one, given) and abs(given - wanted) > SPREAD_FRAC * wanted:
        return _hit(feed, one.id, given, wanted, "V")
    needs, gives = getattr(one, "frequency_hz", None), getattr(source, "frequency_hz", None)
    if needs and gives is None and isinstance(one, Load):
        return Missing((feed.source, one.id), f"frequency of {feed.source}")
    if needs and gives and needs != gives:
        return _hit(feed, one.id, gives, needs, "Hz")
    return None


def _voltage_v(one: Component, legs: int) -> float | None:
    """The AC voltage that a component asks for across what reaches it; None if it takes what its circuit has."""
    name = {AcCharger: "ac_voltage_v", Transformer: "voltage_v"}.get(type(one))
    if isinstance(one, Load):
        name = "voltage_v"
    elif isinstance(one, Inverter):
        name = "output_v" if one.output_v is not None else "ac_voltage_v"
    volts = getattr(one, name, None) if name else None
    if volts is None:
        return None
    return float(volts) * (legs if getattr(volts, "legs", 1) > 1 else 1)


def _stands(one: Component, volts_v: float) -> bool:
    low, high = getattr(one, "min_voltage_v", None), getattr(one, "max_voltage_v", None)
    return low is not None and high is not None and low <= volts_v <= high


def _hit(feed: Feed, id: str, found: float, limit: float, unit: str) -> Hit:
    return Hit((id, feed.source), found, limit, unit, words={"source": feed.source}, mode=feed.mode_name)


CHECK = Check(
    slug=SLUG,
    title="appliance on the wrong voltage or frequency",
    family="AC",
    severity=Severity.DANGER,
    limit="The appliance's voltage within 10 % of its source's, and the same frequency.",
    exceptions="`min-voltage` and `max-voltage` of the appliance span the source's. What states no voltage takes any.",
    sources=(Source("NEC 110.4", "from memory"), Source("10 % for one nominal voltage", "common practice")),
    message="{at} is made for {limit} {unit}, but {source} gives {found} {unit}.",
    remedy="Feed {at} from a source of {limit} {unit}, or fit one made for {found} {unit}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Caravan with a kettle
profile: eu-caravan
body: metal
defaults: {insulation: 70 °C}
components:
  SH1: {kind: shore-inlet, rating: 16 A, voltage: 230 V, ip: IP44}
  QM: {kind: breaker, rating: 16 A, poles: 2, voltage: 230 V, interrupting: 6 kA, residual: 30 mA}
  ACP1: {kind: ac-panel, rating: 25 A}
  QA: {kind: breaker, rating: 10 A, poles: 2, voltage: 230 V, interrupting: 6 kA}
  KT1: {kind: ac-load, name: Kettle, power: 900 W, voltage: 230 V, continuous: false}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [300 mm, 1 m], wire: 2.5 mm²}
  - {id: W2, path: [ACP1, QA, KT1], lengths: [100 mm, 3 m], wire: 2.5 mm²}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 6 mm²}
""",
        passing="900 W, voltage: 230 V",
        failing="900 W, voltage: 120 V",
        finds=("KT1", "SH1"),
    ),
)
