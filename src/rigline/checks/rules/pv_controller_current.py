"""A switching controller passes the array's whole current through itself; a tracking one may clip what is too much.

Beyond its rating a switching controller overheats on the first bright cold day. A tracking one has a limit too: the
current of a short at its input, which its protection must survive.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.array_inputs import ArrayInput, array_inputs
from rigline.study.causes import exceeds
from rigline.study.demand import IRRADIANCE_FACTOR
from rigline.study.study import Study

SLUG = "pv-controller-current"
CLIPPED_FRAC = 1.3
"""Array power over what the controller can give, above which the loss is worth a word. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each controller whose arrays bring more current or power than it is made for."""
    for one in array_inputs(study):
        said = list(_judge(one))
        worst = min((hit for hit in said if isinstance(hit, Hit)), key=lambda hit: _rank(hit), default=None)
        if worst is not None:
            yield worst
        missing = [entry.missing for entry in said if isinstance(entry, Missing)]
        if missing and worst is None:
            yield Missing((one.controller.id,), ", ".join(dict.fromkeys(missing)))


def _rank(hit: Hit) -> int:
    return (hit.severity or Severity.FAULT).rank


def _judge(one: ArrayInput) -> Iterator[Hit | Missing]:
    controller, current = one.controller, one.isc_a
    if current is None:
        yield Missing((controller.id,), "isc of " + ", ".join(a.id for a in one.every_array if a.isc_a is None))
    if controller.method is None:
        yield Missing((controller.id,), f"method of {controller.id} (mppt or pwm)")
    elif controller.method == "pwm":
        if controller.output_a is None:
            yield Missing((controller.id,), f"output of {controller.id}")
        elif current is not None and exceeds(IRRADIANCE_FACTOR * current, controller.output_a):
            what = "can send {found} A through {at} in bright sun, which passes at most {limit} A and burns"
            yield _hit(one, IRRADIANCE_FACTOR * current, controller.output_a, "A", what, Severity.DANGER)
    elif controller.max_array_current_a is None:
        yield Missing((controller.id,), f"max-array-current of {controller.id}")
    elif current is not None and exceeds(current, controller.max_array_current_a):
        what = "can give {found} A when shorted, and the input of {at} stands at most {limit} A"
        yield _hit(one, current, controller.max_array_current_a, "A", what, Severity.FAULT)
    yield from _power(one)


def _power(one: ArrayInput) -> Iterator[Hit]:
    controller, power = one.controller, one.power_w
    if power is None or controller.method == "pwm":
        return
    if controller.max_array_power_w is not None:
        if exceeds(power, controller.max_array_power_w):
            what = "have {found} W together, and the maker of {at} allows {limit} W"
            yield _hit(one, power, controller.max_array_power_w, "W", what, Severity.FAULT)
    elif controller.output_a and one.battery_v and exceeds(power, CLIPPED_FRAC * controller.output_a * one.battery_v):
        what = "have {found} W together, and {at} can pass on {limit} W: the rest is lost at noon"
        yield _hit(one, power, controller.output_a * one.battery_v, "W", what, Severity.ADVICE)


def _hit(one: ArrayInput, found: float, limit: float, unit: str, what: str, severity: Severity) -> Hit:
    arrays = tuple(array.id for array in one.every_array)
    told = what.format(found=f"{found:.4g}", limit=f"{limit:.4g}", at=one.controller.id)
    words = {"arrays": ", ".join(arrays), "what": told}
    return Hit((one.controller.id, *arrays), found, limit, unit, severity=severity, words=words, field="output")


CHECK = Check(
    slug=SLUG,
    title="controller too small for its array",
    family="PV",
    severity=Severity.FAULT,
    limit=(
        "Switching: 1.25 times the short-circuit current is at most the rated output (danger). Tracking: the short-"
        "circuit current is at most what the input stands, and the power at most what the maker allows; advice where "
        "more than 1.3 times the output is installed and the maker names no limit."
    ),
    exceptions="A tracking controller whose maker allows a larger array (`max-array-power`).",
    sources=(
        Source("NEC 690.8(A)", "verified"),
        Source("1.3 times the output", "common practice"),
    ),
    message="{arrays} {what}.",
    remedy="Fit a larger controller in place of {at}, or share the arrays among two.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: One module on a switching controller
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 4 kA, charge-display: true}
  F1: {kind: fuse, style: anl, rating: 40 A}
  PV1: {kind: pv-array, pmax: 200 W, vmp: 18 V, imp: 11 A, voc: 22 V, isc: 12 A, frame: none, disconnect: true}
  SC1: {kind: charge-controller, max-input: 50 V, method: pwm, output: 20 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, SC1], length: 2 m, wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="output: 20 A",
        failing="output: 10 A",
        finds=("SC1", "PV1"),
    ),
)
