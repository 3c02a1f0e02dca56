"""A fuse in a single solar string can never open, for the string gives no more than it is built to carry.

It protects nothing, costs a joint that can corrode, and tempts somebody to pull it as a switch, which it is not.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.devices import Fuse
from rigline.study.array_inputs import array_inputs
from rigline.study.causes import exceeds
from rigline.study.demand import IRRADIANCE_FACTOR
from rigline.study.study import Study

SLUG = "oc-pv-fuse-unneeded"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each fuse between one string and its controller that no source can open."""
    for one in array_inputs(study):
        lone = len(one.strings) == 1 and all(array.parallel == 1 for array in one.every_array)
        if not lone or one.controller.blocks_reverse is False or one.isc_a is None:
            continue
        for id in one.between("pv", Fuse):
            rating, most = study.rating_a(id), IRRADIANCE_FACTOR * one.isc_a
            if rating is not None and not exceeds(most, rating):
                yield Hit((id,), most, rating, "A", words={"array": one.every_array[0].id})


CHECK = Check(
    slug=SLUG,
    title="solar fuse that can never open",
    family="overcurrent",
    severity=Severity.ADVICE,
    limit="A device stands where some source can give more than its rating.",
    exceptions="Breakers, which serve as the array's switch; parallel strings; controllers that let current back.",
    sources=(Source("NEC 690.9(A)", "verified"),),
    message="{at} is {limit} A and {array} gives at most {found} A: it can never open and protects nothing.",
    remedy="Fit a load-break switch in place of {at}, which is what the place asks for.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A small module with a switch
profile: us-boat
body: plastic
conditions: {coldest: -10 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: anl, rating: 35 A}
  PV1: {kind: pv-array, pmax: 100 W, vmp: 18 V, imp: 5.5 A, voc: 22 V, isc: 6 A, frame: none, max-series-fuse: 15 A}
  QPV: {kind: breaker, rating: 10 A, voltage: 48 V, interrupting: 3 kA}
  SC1: {kind: charge-controller, max-input: 50 V, method: pwm, output: 10 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [PV1, QPV, SC1], lengths: [1 m, 1 m], wire: 8 AWG, sunlight-resistant: true}
  - {id: W2, path: [SC1, F1, B1], lengths: [0.5 m, 100 mm], wire: 6 AWG}
  - {id: W3, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="QPV: {kind: breaker",
        failing="QPV: {kind: fuse",
        finds=("QPV",),
    ),
)
