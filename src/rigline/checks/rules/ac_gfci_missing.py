"""Near water a leak of a few hundredths of an ampere through a body is enough to kill, and no fuse notices it.

Protection of class A compares what goes out with what comes back and cuts off at 5 mA. It stands in the outlet itself
or in a breaker ahead of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.loads import Receptacle
from rigline.study.ac_reach import feeds, stops_shock
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "ac-gfci-missing"
WET = {
    "galley": "in the galley", "head": "in the washroom", "outside": "outside", "machinery": "in the machinery space",
    "laundry": "in the laundry",
}  # fmt: skip
"""Where class A protection is asked for."""
LARGEST_A = 20.0
"""Outlets of 15 and 20 A are meant. Source: NEC 210.8(A) as it reads for dwellings."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each outlet in a wet place that a source feeds past any protection against shock."""
    reached = {id for feed in feeds(study, lambda c: not stops_shock(c)) for id in feed.reached}
    for id in sorted(reached):
        outlet = study.system.components[id]
        if not isinstance(outlet, Receptacle) or outlet.gfci or exceeds(outlet.rating_a or 0.0, LARGEST_A):
            continue
        if outlet.location in WET and outlet.gfci is False:
            yield Hit((id,), words={"where": WET[outlet.location]}, field="location")
        elif outlet.location in WET:
            yield Missing((id,), f"whether {id} protects against shock (gfci)")
        elif outlet.location is None:
            yield Missing((id,), f"location of {id}")


CHECK = Check(
    slug=SLUG,
    title="outlet near water without protection against shock",
    family="AC",
    severity=Severity.DANGER,
    limit="Outlets up to 20 A in galley, washroom, machinery space, laundry or outdoors trip at 5 mA (class A).",
    exceptions="Outlets above 20 A; a breaker ahead with class A protection.",
    sources=(
        Source("NEC 210.8(A); ABYC E-11, outlets in boats", "verified"),
        Source("NEC 551.40(C) and 551.41(C)", "from memory"),
    ),
    message="{at} is {where} and has no protection against shock: a leak through a body opens no breaker.",
    remedy="Fit an outlet with class A protection for {at} (`gfci: true`), or such a breaker ahead of it.",
    find=find,
    profiles=("us-rv", "us-boat", "us-cabin"),
    example=Example(
        spec="""\
rigline: 1
title: Camper with an outlet over the sink
profile: us-rv
body: metal
defaults: {insulation: 75 °C}
components:
  GEN1: {kind: generator, power: 3 kW, voltage: 120 V, neutral-bond: fixed}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 30 A}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, location: galley, power: 900 W, gfci: true}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [GEN1, QM, ACP1], lengths: [150 mm, 2 m], wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG}
  - {id: W4, path: [GEN1.case, FR1], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing="gfci: true",
        failing="gfci: false",
        finds=("RC1",),
    ),
)
