"""Plug, cord and inlet are only as strong as the main breaker behind them is small.

A 50 A main behind a 30 A inlet lets a heater and an air conditioner draw 45 A through contacts made for 30. They char
in the rain cap where nobody looks.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.sources import ShoreInlet
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "ac-inlet-main-mismatch"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each inlet with a main device behind it that is larger than the inlet or its cord."""
    for id, inlet in sorted(study.system.components.items()):
        if not isinstance(inlet, ShoreInlet):
            continue
        limits = [one for one in (inlet.rating_a, inlet.cord_a) if one is not None]
        mains = _mains(study, id)
        if not limits and mains:
            yield Missing((id,), f"rating of {id}")
        for device, run in mains:
            rating = study.rating_a(device)
            if rating is None:
                yield Missing((id, device), f"rating of {device}")
            elif limits and exceeds(rating, min(limits)):
                words = {"main": study.system.components[device].display}
                yield Hit((id, device), rating, min(limits), "A", (run,), words=words, field="rating")


def _mains(study: Study, id: str) -> list[tuple[str, str]]:
    """The devices that stand first behind an inlet, with the run that leaves it."""
    found = {
        (device, exposure.conductor.run)
        for exposure, end in study.ends_at.get(id, ())
        for device in exposure.other(end).devices
        if device not in end.devices
    }
    return sorted(found)


CHECK = Check(
    slug=SLUG,
    title="main breaker larger than its inlet or cord",
    family="AC",
    severity=Severity.DANGER,
    limit="The main device is at most the smallest of inlet and cord.",
    exceptions="none",
    sources=(
        Source("NEC 552.44", "verified"),
        Source("NEC 551.44 to 551.46", "from memory"),
        Source("IEC 60364-7-721, 16 A inlets", "from memory"),
    ),
    message=(
        "{main} is {found} A, but {at} or its cord is made for {limit} A: plug and inlet can char long before it opens."
    ),
    remedy="Fit a main breaker of {limit} A behind {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Camper with an inlet as strong as its main
profile: us-rv
body: metal
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  ACP1: {kind: ac-panel, rating: 60 A, neutral-bond: none}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  FR1: {kind: chassis, type: frame}
runs:
  - {id: W1, path: [SH1, QM, ACP1], lengths: [1 m, 100 mm], wire: 6 AWG, insulation: 75 °C}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG, insulation: 75 °C}
  - {id: W3, path: [ACP1, FR1], length: 1 m, carries: earth, wire: 8 AWG, insulation: 75 °C}
""",
        passing="QM: {kind: breaker, rating: 30 A",
        failing="QM: {kind: breaker, rating: 50 A",
        finds=("SH1", "QM"),
    ),
)
