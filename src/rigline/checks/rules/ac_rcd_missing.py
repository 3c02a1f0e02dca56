"""A residual-current device notices the current that does not come back, before a heart does.

Overcurrent devices open at amperes; a person is in danger at hundredths of one. In vehicles and boats, where cases
stand on wet ground or in water, every supply passes such a device first.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds import Component
from rigline.kinds.devices import Rcd
from rigline.kinds.sources import ShoreInlet
from rigline.study.ac_reach import Feed, feeds, is_on_board, residual_a
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "ac-rcd-missing"
LARGEST_A = 0.030
"""Largest rated residual current. Source: IEC 60364-7-721 and -7-709 (from memory); ABYC E-11, ELCI."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each source that feeds loads past every residual-current device of 30 mA or less, once."""
    components = study.system.components
    for id, device in sorted(components.items()):
        if isinstance(device, Rcd) and device.residual_a is None:
            yield Missing((id,), f"residual of {id}")
    seen: set[str] = set()
    for feed in feeds(study, lambda c: not _guards(c)):
        loads = sorted(id for id in feed.reached if study.neutrals.is_load(components[id]))
        if feed.source not in seen and loads and _judged(study, feed, loads):
            seen.add(feed.source)
            severity = Severity.DANGER if isinstance(components[feed.source], ShoreInlet) else Severity.FAULT
            words = {"loads": ", ".join(loads), "most": f"{LARGEST_A * 1000:g} mA"}
            yield Hit((feed.source,), severity=severity, words=words, mode=feed.mode_name)


def _guards(component: Component) -> bool:
    """Whether a device guards; one that doesn't state its residual current is asked for it instead."""
    trips = residual_a(component)
    return isinstance(component, Rcd) if trips is None else not exceeds(trips, LARGEST_A)


def _judged(study: Study, feed: Feed, loads: list[str]) -> bool:
    """US boats ask it of shore power; one appliance on a floating source of its own needs none."""
    source = study.system.components[feed.source]
    if study.system.profile_name == "us-boat":
        return isinstance(source, ShoreInlet)
    floating = is_on_board(source) and getattr(source, "neutral_bond", None) == "none"
    return not (floating and len(loads) == 1)


CHECK = Check(
    slug=SLUG,
    title="AC supply without a residual-current device",
    family="AC",
    severity=Severity.DANGER,
    limit="Every load stands behind a residual-current device of 30 mA or less; a fault for sources on board.",
    exceptions=(
        "US boats: shore power only, and not behind an isolation transformer. Elsewhere one appliance alone on a "
        "floating source (protection by separation)."
    ),
    sources=(
        Source("IEC 60364-7-721, 30 mA for the whole caravan; ABYC E-11, ELCI at the shore main", "verified"),
        Source("ISO 13297; IEC 60364-4-41, separation for one appliance", "from memory"),
    ),
    message="{at} feeds {loads} past every residual-current device of {most}: a leak through a body opens nothing.",
    remedy="Fit a residual-current device of {most} that opens all live conductors right behind {at}.",
    find=find,
    profiles=("us-boat", "intl-boat", "uk-inland-boat", "eu-caravan", "iec-cabin"),
    example=Example(
        spec="""\
rigline: 1
title: Boat on shore power with leakage protection at the main
profile: us-boat
body: plastic
defaults: {insulation: 75 °C}
components:
  SH1: {kind: shore-inlet, rating: 30 A, voltage: 120 V}
  QM: {kind: breaker, rating: 30 A, poles: 2, voltage: 120 V, interrupting: 10 kA, residual: 30 mA}
  GI1: {kind: galvanic-isolator, rating: 30 A, fail-safe: true}
  ACP1: {kind: ac-panel, rating: 30 A, polarity-indicator: true}
  QA: {kind: breaker, rating: 20 A, poles: 1, voltage: 120 V, interrupting: 10 kA}
  RC1: {kind: receptacle, rating: 20 A, gfci: true, power: 900 W}
  ENG: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [SH1, QM, GI1, ACP1], lengths: [1 m, 200 mm, 200 mm], wire: 10 AWG}
  - {id: W2, path: [ACP1, QA, RC1], lengths: [100 mm, 3 m], wire: 12 AWG}
  - {id: W3, path: [ACP1, ENG], length: 1 m, carries: earth, wire: 8 AWG}
""",
        passing=", residual: 30 mA",
        failing="",
        finds=("SH1",),
    ),
)
