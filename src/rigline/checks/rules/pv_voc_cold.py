"""Cold modules give more voltage, and one cold bright morning is enough to kill a controller.

The label's open-circuit voltage holds at 25 °C. At frost a string gives ten to twenty per cent more, before the
controller draws any current, and what was just within its limit punctures it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.converters import ChargeController
from rigline.study.causes import exceeds
from rigline.study.solar import SolarString, string_on
from rigline.study.study import Study

SLUG = "pv-voc-cold"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each controller whose string can rise above its largest input, and each string above its modules' own limit."""
    for id, component in sorted(study.system.components.items()):
        if not isinstance(component, ChargeController):
            continue
        for string in string_on(study.graph, id):
            if string.cold_v is None:
                yield Missing(string.arrays, " and ".join(string.missing))
                continue
            limits = [("its input stands", component.max_input_v), ("its modules stand", string.module_limit_v)]
            if component.max_input_v is None:
                yield Missing((id,), f"max-input of {id}")
            for whose, limit in limits:
                if limit is not None:
                    yield from _string(id, string, whose, limit)


def _string(id: str, string: SolarString, whose: str, limit_v: float) -> Iterator[Hit]:
    strings, cold_v, reserve_v = ", ".join(string.arrays), string.cold_v or 0.0, string.reserve_v or 0.0
    at, reaches = (id, *string.arrays), f"{strings} can reach {cold_v:.4g} V in the cold ({string.basis})"
    if exceeds(cold_v, limit_v):
        what = f"{reaches}, but {whose} {limit_v:.4g} V: it is destroyed and may burn"
        yield Hit(at, cold_v, limit_v, "V", words={"what": what}, field="max-input")
    elif exceeds(reserve_v, limit_v):
        what = (
            f"{reaches}, and {whose} {limit_v:.4g} V, which leaves no reserve for what such figures leave out: one "
            f"module in fifty rises to more than {reserve_v:.4g} V"
        )
        yield Hit(at, reserve_v, limit_v, "V", severity=Severity.ADVICE, words={"what": what}, field="max-input")


CHECK = Check(
    slug=SLUG,
    title="solar string above its controller's voltage in the cold",
    family="PV",
    severity=Severity.DANGER,
    limit=(
        "Open-circuit voltage of the string at the coldest temperature (by the module's coefficient, else NEC Table "
        "690.7(A); 1.25 times where the coldest is not stated) is at most the controller's largest input. Advice: "
        "with a reserve of 0.09 % of the rated voltage for each kelvin below 25 °C, by which coefficients fall short."
    ),
    exceptions="none",
    sources=(
        Source("NEC 690.7", "verified"),
        Source("NEC Table 690.7(A)", "from memory"),
        Source("reserve: 1000 modules of the CEC database by the single-diode model of Dobos 2012", "verified"),
        Source("1.25 where the coldest temperature is not stated", "common practice"),
    ),
    message="{at}: {what}.",
    remedy="Put fewer modules in series, or fit a controller for {found} V or more in place of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Modules in series on a cold coast
profile: us-boat
body: plastic
conditions: {coldest: -20 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A, max-charge: 20 A}
  F1: {kind: fuse, style: blade, rating: 30 A}
  PV1: {kind: pv-array, series: 3, vmp: 20.4 V, voc: 24.3 V, voc-temperature: -0.27 %/K, isc: 10.2 A, frame: none,
        disconnect: true}
  SC1: {kind: charge-controller, max-input: 100 V, output: 20 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 3 m, wire: 10 AWG, insulation-voltage: 600 V, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 10 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="series: 3",
        failing="series: 4",
        finds=("SC1", "PV1"),
    ),
)
