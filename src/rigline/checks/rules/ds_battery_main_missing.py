"""In a fire or with a cable chafed through, somebody has to be able to turn the battery off at once.

A fuse guards a wire, but it doesn't end a smouldering fault below its rating, and nobody unbolts it in smoke. One
switch for the bank, or a breaker in each circuit, also makes it safe to work on.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.study.isolation import is_large, unswitched
from rigline.study.storage import Storage, storages
from rigline.study.study import Study

SLUG = "ds-battery-main-missing"
EVERY_BANK = ("intl-boat", "uk-inland-boat")
"""Profiles that ask for a switch whatever the size of the bank."""
BY_RULE = ("us-rv", "us-cabin", *EVERY_BANK)
"""Profiles whose rules ask for a switch."""
MOST_CCA_A = 800.0
"""Cold cranking current above which a boat's battery needs a switch. Source: ABYC E-11.7, from memory."""


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bank that no switch or breaker can part from its loads."""
    for storage in storages(study):
        if not unswitched(study, storage).is_whole:
            continue
        cca = max((b.cca_a or 0.0 for b in storage.batteries), default=0.0)
        large = is_large(storage)
        if large or study.profile.name in EVERY_BANK or (study.profile.name == "us-boat" and cca > MOST_CCA_A):
            yield Hit(storage.ids, severity=_severity(study, cca), words={"all": " and ".join(storage.ids)})
        elif large is None:
            yield Missing(storage.ids, f"voltage and capacity of {', '.join(_silent(storage))}")


def _severity(study: Study, cca_a: float) -> Severity:
    is_rule = study.profile.name in BY_RULE or (study.profile.name == "us-boat" and cca_a > MOST_CCA_A)
    return Severity.DANGER if is_rule else Severity.FAULT


def _silent(storage: Storage) -> list[str]:
    return [s.top.id for s in storage.strings if s.capacity_ah is None or s.volts_v is None]


CHECK = Check(
    slug=SLUG,
    title="battery that can't be turned off",
    family="disconnects",
    severity=Severity.DANGER,
    limit=(
        "A bank above 1.3 kWh (a 12 V block of 100 Ah), in the boats' international and British rules any bank, can be "
        "parted by hand from all its loads. Where the rule set asks for it only of larger starting batteries or leaves "
        "it open, it is a fault."
    ),
    exceptions=(
        "Alarms, pumps and other loads that must stay on; a battery with a switch or a quick release of its own "
        "(disconnect); small banks, whose fuse is pulled."
    ),
    sources=(
        Source("NEC 706.15", "from memory"),
        Source("ABYC E-11, battery switches", "from memory"),
        Source("ISO 13297 and the Boat Safety Scheme, part 3", "from memory"),
        Source("NEC 551 and ANSI/RVIA LV, battery disconnect", "from memory"),
    ),
    message="Nothing turns {all} off: in a fire or a fault, all that hangs on it stays live.",
    remedy="Put a switch, rated for the main fuse, right behind the main fuse of {at}.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A bank and its heater
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 200 Ah, short-circuit: 2 kA, charge-display: true}
  F1: {kind: fuse, style: class-t, rating: 30 A}
  Q1: {kind: switch, rating: 100 A, voltage: 32 V}
  LD1: {kind: dc-load, name: Heater, current: 20 A, continuous: true}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, Q1, LD1], lengths: [100 mm, 0.3 m, 0.6 m], wire: 6 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 6 AWG}
""",
        passing="Q1: {kind: switch, rating: 100 A, voltage: 32 V}",
        failing="Q1: {kind: busbar, rating: 100 A}",
        finds=("B1",),
    ),
)
