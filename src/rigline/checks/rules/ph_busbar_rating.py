"""A bar that is fed from several sides carries the sum of its feeds.

Each fuse alone may be small enough, and yet a battery, a charger and a solar controller together push more through the
middle of the bar than it was made for. Its studs heat up first, and nothing opens.
"""

from __future__ import annotations

from collections.abc import Iterator

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.findings import Severity
from rigline.kinds.distribution import AcPanel, Busbar, DcPanel, FuseBlock
from rigline.study.ahead import ahead_of, bar_section_a
from rigline.study.causes import exceeds
from rigline.study.study import Study

SLUG = "ph-busbar-rating"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Each bar whose feeds together are above its rating, though none is alone."""
    for id, component in sorted(study.system.components.items()):
        if not isinstance(component, Busbar | FuseBlock | DcPanel | AcPanel):
            continue
        feeds = [one for one in ahead_of(study, id) if one.amps_a > 0]
        section = bar_section_a(study, id)
        rating = component.rating_a
        if len(feeds) < 2:
            continue
        if rating is None:
            yield Missing((id,), f"rating of {id}")
        # One feed alone above the rating is rt-ocpd-over-passives.
        elif exceeds(section, rating) and not any(exceeds(one.amps_a, rating) for one in feeds):
            devices = sorted({device for one in feeds for device in one.devices})
            words = {"feeds": ", ".join(devices) or "its sources"}
            yield Hit(
                (id,), section, rating, "A", tuple(sorted({one.run for one in feeds})), words=words, field="rating"
            )


CHECK = Check(
    slug=SLUG,
    title="bar rated below the sum of its feeds",
    family="physical",
    severity=Severity.DANGER,
    limit="The current that can pass the worst section of a bar is at most its rating.",
    exceptions="A single feed above the rating is rt-ocpd-over-passives.",
    sources=(Source("NEC 110.10 and 408.30", "from memory"), Source("NEC 710.15(C), neutral bars", "verified")),
    message=(
        "Together {feeds} can push {found} A through {at}, which is rated {limit} A: its studs overheat and nothing "
        "opens."
    ),
    remedy="Fit a bar rated {found} A or more for {at}, or smaller devices in its feeds.",
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: A bar fed by two batteries
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 50 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: terminal, rating: 60 A}
  F2: {kind: fuse, style: terminal, rating: 60 A}
  BUS1: {kind: busbar, rating: 150 A}
  F3: {kind: fuse, style: terminal, rating: 125 A}
  M1: {kind: motor, name: Windlass, current: 80 A, continuous: false}
  GND: {kind: chassis, name: Engine block}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [100 mm, 0.5 m], wire: 4 AWG}
  - {id: W2, path: [B2, F2, BUS1], lengths: [100 mm, 0.5 m], wire: 4 AWG}
  - {id: W3, path: [BUS1, F3, M1], lengths: [100 mm, 1 m], wire: 4 AWG}
  - {id: W4, path: [BUS1-, GND], length: 0.5 m, wire: 4 AWG}
""",
        passing="rating: 150 A",
        failing="rating: 100 A",
        finds=("BUS1",),
    ),
)
