"""A cable between two batteries is live from both ends. A fuse at one of them stops only what comes from there.

Where such a cable chafes, the battery at the other end feeds the short through metres of wire that nothing
protects. That is the usual fire in charge lines and battery links.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from rigline.checks.check import Check, Example, Hit, Missing, Source
from rigline.checks.exposed import batteries_judged_as_bank, exposed_hits, stub_hit
from rigline.findings import Severity
from rigline.study.distances import is_live_from_both_ends, stubs_of
from rigline.study.study import Study
from rigline.units import format_amount

SLUG = "oc-both-ends"


def find(study: Study) -> Iterator[Hit | Missing]:
    """Links without any device, and links whose one device stands too far from one of their ends."""
    yield from link_hits(study, SLUG)


def link_hits(study: Study, slug: str) -> Iterator[Hit | Missing]:
    """The hits for links of one sort: between banks, or to a vehicle that tows."""
    runs: set[tuple[str, ...]] = set()
    for said in exposed_hits(study, slug):
        if isinstance(said, Missing):
            yield said
        elif said.runs not in runs:
            runs.add(said.runs)
            yield _without_device(said, study)
    stubs = stubs_of(study).of_batteries
    for stub in stubs:
        if (stub.slug or SLUG) != slug or stub.source in batteries_judged_as_bank(study):
            continue
        live = is_live_from_both_ends(stub, stubs)
        if live and stub.runs not in runs:
            runs.add(stub.runs)
            hit, most = stub_hit(stub), f"and {format_amount(stub.most_m, 'm')} is allowed"
            away = hit.words["least"] + format_amount(stub.tap.known_m, "m")
            where = f"its first device, {stub.device}, is {away} away, {most}"
            if stub.is_long is None and stub.spec_length_m is not None:
                length = format_amount(stub.spec_length_m, "m")
                where = f"{stub.device}, its only device, can't be near both ends of {length}, {most}"
                hit = replace(hit, found=stub.spec_length_m)
            yield replace(hit, at=(stub.source, stub.device), words={**hit.words, "where": where})
        elif live is None:
            fact = f"length of each stretch between {stub.source} and {stub.device}"
            yield Missing((stub.source, stub.device), fact)


def _without_device(hit: Hit, study: Study) -> Hit:
    """The words for a link that has no device at all."""
    most = study.profile.tap_battery_bare_m or study.profile.tap_battery_warn_m
    ends = sorted(
        {*hit.at, *hit.words["sources"].split(", ")},
        key=lambda id: (study.system.components[id].role != "storage", id),
    )
    where = "there is no device anywhere between them"
    words = {**hit.words, "source": ends[0], "live": ", ".join(ends[1:]), "where": where}
    return replace(hit, at=tuple(ends), found=None, limit=most.value, unit="m", words=words)


CHECK = Check(
    slug=SLUG,
    title="link between two sources protected at one end only",
    family="overcurrent",
    severity=Severity.DANGER,
    limit=(
        "A device at each end, each at most what the wire may have and each as near to its own source as the rule "
        "set asks."
    ),
    exceptions=(
        "An end that only self-limited sources reach (E2); a converter or controller that lets nothing flow back; "
        "a cranking cable (E1); batteries of one bank, which oc-parallel-battery-each judges."
    ),
    sources=(
        Source("33 CFR 183.455(b)", "verified"),
        Source("ABYC E-11.10.1", "from memory"),
        Source("NEC 690.9(A)", "verified"),
    ),
    message=(
        "{runs} is live from both ends, from {source} and from {live}: {where}. A short near {source} would "
        "have nothing to stop it."
    ),
    remedy=(
        "Fit a fuse or breaker for the same wire within {limit} {unit} of {source}, and keep the one at the other end."
    ),
    find=find,
    example=Example(
        spec="""\
rigline: 1
title: Charge relay between the starter and the house battery
profile: us-boat
body: plastic
defaults: {insulation: 105 °C}
components:
  B1: {kind: battery, name: Starter battery, chemistry: agm, voltage: 12 V, capacity: 70 Ah,
       short-circuit: 1500 A, starting: true}
  B2: {kind: battery, name: House battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah, short-circuit: 2000 A}
  F1: {kind: fuse, style: anl, rating: 100 A}
  F2: {kind: fuse, style: anl, rating: 100 A}
  K1: {kind: relay, type: combiner, rating: 300 A, voltage: 32 V}
  GND: {kind: chassis, name: Engine, type: engine}
runs:
  - {id: W1, path: [B1, F1, K1, F2, B2], lengths: [100 mm, 0.5 m, 3.3 m, 100 mm], wire: 2 AWG}
  - {id: W2, path: [B1-, GND], length: 0.5 m, carries: bond, wire: 2 AWG}
""",
        passing="F2: {kind: fuse, style: anl, rating: 100 A}",
        failing="F2: {kind: switch, voltage: 32 V, rating: 300 A}",
        finds=("B2", "F1"),
    ),
)
