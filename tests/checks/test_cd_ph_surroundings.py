"""Wires in heat, looms and boxes: the sides of rules that one example can't show."""

from __future__ import annotations

import pytest
from helpers import report, study_of

from rigline.checks.registry import all_checks
from rigline.checks.run import run_checks


def of_rules(text: str, *prefixes: str) -> list[tuple[str, str, tuple[str, ...]]]:
    """Findings of some rules or families of rules."""
    rules = [check for check in all_checks() if check.slug.startswith(prefixes)]
    return sorted((f.rule, f.severity.value, f.at) for f in run_checks(study_of(text), rules).findings)


PUMP = """\
rigline: 1
title: A pump
profile: {profile}
body: plastic
places:
  bay: {{engine: true, max: 50 °C}}
components:
  B1: {{kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}}
  F1: {{kind: fuse, style: terminal, rating: {fuse}}}
  M1: {{kind: motor, current: 60 A, continuous: false, place: bay}}
runs:
  - {{id: W1, path: [B1, F1, M1], lengths: [100 mm, 1.5 m], wire: 6 AWG, {run}}}
"""


@pytest.mark.parametrize(
    ("fuse", "run", "expected"),
    [
        ("110 A", "sheathed: true", []),
        ("125 A", "sheathed: true", [("cd-ambient-correction", "fault", ("W1", "M1"))]),
        ("125 A", "place: bay", []),
    ],
)
def test_a_wire_into_an_engine_space_counts_on_its_heat(
    fuse: str, run: str, expected: list[tuple[str, str, tuple[str, ...]]]
) -> None:
    """6 AWG at 105 °C: 120 A outside, 102 A in an engine space (ABYC E-11, factor 0.85), so at most 110 A there.

    A run that says where it lies is corrected already, and then the device is too large for it.
    """
    text = PUMP.format(profile="us-boat", fuse=fuse, run=run)
    assert of_rules(text, "cd-ambient") == expected
    assert bool(of_rules(text, "rt-ocpd-over-conductor")) == (run == "place: bay")


@pytest.mark.parametrize(
    ("color", "carries", "expected"),
    [
        ("red/black", "pair", None),
        ("green", "pair", "fault"),
        ("white", "positive", "fault"),
        ("white marked red", "positive", None),
        ("black", "positive", "advice"),
        ("yellow", "negative", None),
        ("red", "negative", "advice"),
        ("red", "earth", "advice"),
        ("green-yellow", "earth", None),
    ],
)
def test_colours_that_mislead(color: str, carries: str, expected: str | None) -> None:
    """Green is earth; white is a US neutral; red is plus. Source: ABYC E-11 and NEC 210.5, from memory."""
    kind = "" if carries == "pair" else f", carries: {carries}"
    text = (
        "rigline: 1\ntitle: Colours\nprofile: us-boat\ncomponents:\n"
        "  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah}\n  BUS1: {kind: busbar}\n"
        f"runs:\n  - {{id: W1, path: [B1, BUS1], length: 1 m, color: {color}{kind}}}\n"
    )
    if carries == "earth":
        text = text.replace("[B1, BUS1]", "[B1.case, G1]").replace("  BUS1:", "  G1: {kind: chassis}\n  BUS1:")
    assert of_rules(text, "cd-colour") == ([] if expected is None else [("cd-colour", expected, ("W1",))])


@pytest.mark.parametrize(
    ("profile", "material", "expected"),
    [
        ("us-boat", "strand: solid", "fault"),
        ("us-rv", "strand: solid", "fault"),
        ("us-cabin", "strand: solid", None),
        ("us-cabin", "material: copper-clad", "fault"),
        ("eu-caravan", "material: aluminium", "fault"),
        ("us-boat", "strand: fine", None),
    ],
)
def test_what_a_wire_may_be_made_of(profile: str, material: str, expected: str | None) -> None:
    """Stranded copper in what moves. 33 CFR 183.425(a); NEC 552.10(B)(1)."""
    text = PUMP.format(profile=profile, fuse="100 A", run=material)
    assert of_rules(text, "cd-material") == ([] if expected is None else [("cd-material", expected, ("W1",))])


@pytest.mark.parametrize(
    ("profile", "insulation", "expected"),
    [
        ("us-rv", "insulation-voltage: 600 V", ["cd-ac-dc-separation"]),
        ("us-boat", "insulation-voltage: 600 V", []),
        ("us-boat", "insulation-voltage: 60 V", ["cd-ac-dc-separation"]),
    ],
)
def test_mains_and_twelve_volts_in_one_loom(profile: str, insulation: str, expected: list[str]) -> None:
    """RVs keep them apart in any case (NEC 552.10); boats accept insulation for the highest voltage (ISO 10133)."""
    text = (
        f"rigline: 1\ntitle: Loom\nprofile: {profile}\ncomponents:\n"
        "  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah}\n  F1: {kind: fuse, rating: 10 A}\n"
        "  M1: {kind: motor, current: 5 A}\n  GEN1: {kind: generator, power: 2 kW, voltage: 120 V}\n"
        "  HT1: {kind: ac-load, power: 500 W}\nruns:\n"
        f"  - {{path: [B1, F1, M1], length: 2 m, wire: 12 AWG, loom: port, {insulation}}}\n"
        "  - {path: [GEN1, HT1], length: 2 m, wire: 12 AWG, loom: port}\n"
    )
    assert [rule for rule, *_ in of_rules(text, "cd-ac-dc")] == expected


def test_mains_beside_wires_of_unknown_insulation_is_a_question() -> None:
    """Whether a boat's DC wire may lie beside mains depends on a figure that is asked for."""
    text = (
        "rigline: 1\ntitle: Loom\nprofile: us-boat\ncomponents:\n"
        "  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah}\n  M1: {kind: motor, current: 5 A}\n"
        "  GEN1: {kind: generator, power: 2 kW, voltage: 120 V}\n  HT1: {kind: ac-load, power: 500 W}\nruns:\n"
        "  - {id: W1, path: [B1, M1], length: 2 m, loom: port}\n  - {path: [GEN1, HT1], length: 2 m, loom: port}\n"
    )
    asked = [one.missing for one in report(text).not_assessed if one.rule == "cd-ac-dc-separation"]
    assert asked == ["insulation-voltage of W1"]


@pytest.mark.parametrize(
    ("bus", "expected"),
    [
        ("BUS1: {kind: busbar, covered: false}", "danger"),
        ("BUS1: {kind: busbar, covered: true}", None),
        ("BUS1: {kind: busbar, covered: false, pole: negative}", None),
    ],
)
def test_a_bare_bar_ahead_of_the_first_fuse_is_a_danger(bus: str, expected: str | None) -> None:
    """33 CFR 183.445(b): always live studs are covered; a bar of the grounded pole need not be."""
    carries = ", carries: negative" if "negative" in bus else ""
    text = (
        "rigline: 1\ntitle: Bar\nprofile: us-boat\ncomponents:\n"
        f"  B1: {{kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, covered: true}}\n  {bus}\n"
        f"runs:\n  - {{path: [B1, BUS1], length: 0.2 m{carries}}}\n"
    )
    assert of_rules(text, "ph-exposed") == ([] if expected is None else [("ph-exposed-terminals", expected, ("BUS1",))])


def test_a_bare_bar_behind_a_fuse_is_advice() -> None:
    """A fuse ahead of it opens, so a dropped spanner costs the fuse."""
    text = (
        "rigline: 1\ntitle: Bar\nprofile: us-boat\ncomponents:\n"
        "  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, covered: true}\n"
        "  F1: {kind: fuse, rating: 50 A}\n  BUS1: {kind: busbar, covered: false}\n"
        "runs:\n  - {path: [B1, F1, BUS1], length: 0.2 m, wire: 6 AWG}\n"
    )
    assert of_rules(text, "ph-exposed") == [("ph-exposed-terminals", "advice", ("BUS1",))]


@pytest.mark.parametrize(
    ("stud", "expected"), [("[M8, M10]", []), ("[M8, M8]", [("ph-terminal-wire-range", "fault", ("BUS1", "W1"))])]
)
def test_a_lug_fits_its_stud(stud: str, expected: list[tuple[str, str, tuple[str, ...]]]) -> None:
    """A hole for M8 does not go on M10. NEC 110.14, from memory."""
    text = (
        "rigline: 1\ntitle: Lugs\nprofile: us-boat\ncomponents:\n"
        "  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, stud: [M8]}\n"
        "  BUS1: {kind: busbar, stud: [M10]}\n"
        f"runs:\n  - {{id: W1, path: [B1, BUS1], length: 0.2 m, wire: 6 AWG, stud: {stud}}}\n"
    )
    assert of_rules(text, "ph-terminal") == expected


@pytest.mark.parametrize(
    ("ip", "expected"), [("IP44", []), ("IP67", []), ("NEMA 3R", []), ("IP24", ["SH1"]), ("IPX4", ["SH1"])]
)
def test_an_inlet_stands_rain(ip: str, expected: list[str]) -> None:
    """IP44 or better. Source: IEC 60364-7-721 and -7-709, from memory."""
    text = (
        "rigline: 1\ntitle: Inlet\nprofile: us-rv\ncomponents:\n"
        f"  SH1: {{kind: shore-inlet, rating: 30 A, voltage: 120 V, ip: {ip}}}\n  ACP1: {{kind: ac-panel}}\n"
        "runs:\n  - {path: [SH1, ACP1], length: 1 m, wire: 10 AWG}\n"
    )
    assert [at[0] for _, _, at in of_rules(text, "ph-outside")] == expected


@pytest.mark.parametrize(
    ("run", "expected"),
    [("length: 60 m", ["dg-implausible"]), ("length: 60 m, confirmed: true", []), ("length: 40 m", [])],
)
def test_a_run_of_sixty_metres_is_asked_about_once(run: str, expected: list[str]) -> None:
    """50 m is a long way in a small system; common practice. Who confirmed it is not asked again."""
    text = (
        "rigline: 1\ntitle: Far\nprofile: us-cabin\ncomponents:\n"
        "  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah}\n  M1: {kind: motor, current: 5 A}\n"
        f"runs:\n  - {{id: W1, path: [B1, M1], {run}, wire: 6 AWG}}\n"
    )
    assert [rule for rule, *_ in of_rules(text, "dg-implausible")] == expected
