"""A motor that can't turn draws its stalled current until something opens, or until it burns.

A fuse chosen for the wire lets a small pump with a blocked wheel cook for hours. The maker's fuse, or a thermal
protector inside, opens within seconds.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Motor
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "oc-motor-stall"
LEAST_TIMES = 2.0
"""Stalled current over the rating of its device. Common practice: a fuse opens within a minute at twice its rating."""
SUSPECT_TIMES = 3.0
"""Above this rating over running current the stalled current must be known. Common practice."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each motor whose device would not open while it is stalled."""
    for id, motor in sorted(study.system.components.items()):
        if not isinstance(motor, Motor) or motor.thermal_protection or motor.cranking or motor.steering:
            continue
        if motor.built_in_fuse_a is not None:
            continue
        ratings = {
            device: rating for device, circuit in study.circuits.items()
            if circuit.serves == (id,) and (rating := study.rating_a(device)) is not None
        }  # fmt: skip
        device = min(ratings, key=lambda one: (ratings[one], one), default=None)
        if device is None:
            continue
        if motor.stall_a is not None:
            if exceeds(LEAST_TIMES * ratings[device], motor.stall_a):
                words = {"device": device, "rating": f"{ratings[device]:g}"}
                yield Hit((id, device), motor.stall_a, LEAST_TIMES * ratings[device], "A", words=words, field="stall")
        elif motor.current_a is not None and exceeds(ratings[device], SUSPECT_TIMES * motor.current_a):
            yield Missing((id,), f"stall current of {id}, or whether it has thermal-protection")


CHECK = Check(
    slug=SLUG,
    title="motor that can burn while it is stalled",
    family="overcurrent",
    severity=Severity.FAULT,
    limit="The stalled current is at least twice the rating of the motor's own device.",
    exceptions="Thermal protection or a fuse inside; cranking and steering motors.",
    sources=(
        Source("ABYC E-11, motor circuits; ISO 13297:2020 13.1.4", "verified"),
        Source("NEC 430.32 and 430.52", "from memory"),
        Source("twice the rating to open in time", "common practice"),
    ),
    message="Stalled, {at} draws {found} A, and {device} of {rating} A opens in time from {limit} A on: it can burn.",
    remedy="Fit the fuse that the maker of {at} names in place of {device}, or a motor with a thermal protector.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A bilge pump with its maker's fuse
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 5 A}
  M1: {kind: motor, name: Pump, current: 3 A, continuous: false, stall: 12 A}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, M1], lengths: [100 mm, 2 m], wire: 12 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="rating: 5 A",
        failing="rating: 10 A",
        finds=("M1", "F1"),
    ),
)
