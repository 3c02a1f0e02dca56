"""An outlet invites anybody to plug in whatever fits, so its own device must protect it.

The contacts of an outlet are made for one current. Behind a larger fuse or breaker a plugged-in heater or two can draw
more than the contacts stand, and they char inside the wall.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Receptacle
from rigline.model.system import HOT_LEGS
from rigline.study.ahead import ahead_of
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "rt-ocpd-over-receptacle"
US_OUTLETS_A = {15.0: 20.0, 20.0: 20.0, 30.0: 30.0, 40.0: 50.0, 50.0: 50.0}
"""Largest device for circuits of outlets, by their rating. Source: NEC Table 210.21(B)(3), from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each outlet behind a device larger than it may have."""
    for id, component in sorted(study.system.components.items()):
        if isinstance(component, Receptacle):
            yield from _judge(study, component, id)


def _judge(study: Study, outlet: Receptacle, id: str) -> Iterator[Hit | Missing]:
    for one in ahead_of(study, id):
        if one.loose_a == 0 or math.isinf(one.amps_a):
            continue
        if outlet.rating_a is None:
            yield Missing((id,), f"rating of {id}")
            return
        alternating = study.exposures[one.conductor].conductor.pole in HOT_LEGS
        limit = outlet.rating_a
        if alternating and study.profile.name.startswith("us-"):
            limit = US_OUTLETS_A.get(limit, limit)
        # The circuit's own device must suit the outlet, even where an inverter limits what it can pass.
        own_a = (study.rating_a(one.devices[0]) or 0.0) if len(one.devices) == 1 else 0.0
        found_a = max(one.amps_a, own_a)
        if exceeds(found_a, limit) and one.devices:
            words = {"outlet": outlet.display, "rating": f"{outlet.rating_a:g}"}
            yield Hit((*one.devices, id), found_a, limit, "A", (one.run,), words=words, field="rating")
        elif exceeds(one.loose_a, limit) and one.unknown:
            yield Missing((id,), ", ".join(one.unknown))


CHECK = Check(
    slug=SLUG,
    title="outlet behind too large a device",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "United States, AC: outlets of 15 A behind at most 20 A, 20 A behind 20 A, 30 A behind 30 A, 50 A behind 50 A. "
        "Everywhere else, and for DC sockets: at most the outlet's rating."
    ),
    exceptions="Plugs with a fuse of their own (13 A plugs on a 32 A ring circuit, BS 7671).",
    sources=(
        Source("NEC 210.21(B)", "from memory"),
        Source("IEC 60364-4-43 433.1", "from memory"),
        Source("DC sockets by their marking", "common practice"),
    ),
    message=(
        "{at} is rated {found} A, but the outlet {outlet} is made for {rating} A and may stand behind at most "
        "{limit} A: "
        "its contacts can char before {at} opens."
    ),
    remedy="Fit {at} with {limit} A.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A 12 V socket
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  RC1: {kind: receptacle, name: Cockpit socket, rating: 10 A, power: 60 W, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, RC1], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}
""",
        passing="style: blade, rating: 10 A",
        failing="style: blade, rating: 20 A",
        finds=("F1", "RC1"),
    ),
)
