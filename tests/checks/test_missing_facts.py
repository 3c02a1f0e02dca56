"""A fact that the spec doesn't say is asked for by its name, and the rule neither passes nor alarms.

Each case is the rule's own passing example with one fact left out.
"""

from __future__ import annotations

import pytest
from helpers import report

from rigline.checks.registry import check_of

LEFT_OUT: list[tuple[str, dict[str, str], tuple[str, ...], str]] = [
    ("ac-gfci-missing", {", gfci: true": ""}, ("RC1",), "whether RC1 protects against shock (gfci)"),
    ("ac-number-of-circuits", {", rating: 30 A}\n  QM": "}\n  QM"}, ("SH1",), "rating of SH1"),
    ("bb-c-rate", {"chemistry: agm, ": ""}, ("B1",), "chemistry and capacity of B1"),
    ("bb-mixed-age-capacity", {"capacity: 50 Ah, short-circuit: 800 A, age: 3 ": "short-circuit: 800 A, age: 3 "},
     ("B1", "B2"), "capacity of B1"),
    ("bb-mixed-chemistry", {"B1: {kind: battery, chemistry: agm, ": "B1: {kind: battery, "}, ("B1", "B2"),
     "chemistry of B1"),
    ("bb-series-arithmetic", {"voltage: 6 V, ": ""}, ("B1",), "voltage of B1"),
    ("bb-spark-compartment", {", ignition-protected: true": ""}, ("Q1",),
     "whether Q1, which stands with B1, is ignition protected"),
    ("bb-unequal-cabling", {"[B2, F2, BUS1], lengths: [100 mm, 0.5 m]": "[B2, F2, BUS1]"}, ("B1", "B2"),
     "length and size of W2"),
    ("bb-ventilation", {"capacity: 100 Ah, ": ""}, ("B1",), "chemistry, voltage and capacity of B1"),
    ("cd-inverter-cable-length", {"[B1, F1, INV1.dc], lengths: [150 mm, 2 m]": "[B1, F1, INV1.dc]"}, ("INV1",),
     "length of W1"),
    ("ds-precharge", {"power: 2000 W, ": "", ", soft-start: true": ""}, ("INV1",), "power and voltage of INV1"),
    ("ph-ac-dc-enclosure", {", barrier: true": ""}, ("F1", "QA"), "whether a barrier parts AC and DC in box"),
    ("ph-busbar-rating", {", rating: 150 A": ""}, ("BUS1",), "rating of BUS1"),
    ("pv-controller-current", {", isc: 12 A": ""}, ("SC1",), "isc of PV1"),
    ("pv-controller-current", {", output: 20 A": ""}, ("SC1",), "output of SC1"),
    ("pv-controller-missing", {"isc: 0.9 A, ": ""}, ("PV1", "B1"), "isc of PV1 and capacity of B1"),
    ("pv-mppt-start", {"vmp: 18 V, ": "", "voc: 22 V, ": ""}, ("SC1",), "vmp of PV1"),
    ("pv-series-current-mismatch", {"imp: 9.4 A, voc: 22 V, isc: 10 A": "voc: 22 V"}, ("PV2",), "imp of PV2"),
    ("pv-string-parallel-mismatch", {"vmp: 18 V, ": "", "voc: 22 V, ": ""}, ("SC1",), "vmp or voc of PV1"),
    ("rt-ocpd-over-receptacle", {"rating: 10 A, power": "power"}, ("RC1",), "rating of RC1"),
    ("oc-pv-string-fuse", {", string-fuse: 20 A": ""}, ("PV1",), "string-fuse"),
    ("oc-pv-string-fuse", {"max-series-fuse: 20 A, ": ""}, ("PV1",), "max-series-fuse"),
    ("ph-bend-radius", {"0.5 m], wire: 1/0 AWG": "0.5 m]", ", power: 300 W": "", "rating: 110 A": "voltage: 32 V"},
     ("W1",), "thickness of its cable, for the 90 mm of locker"),
    ("cd-voltage-drop-critical", {"drop-class: critical": "min-voltage: 10 V", ", lengths: [100 mm, 3.1 m]": ""},
     ("M1",), "length of W1"),
    ("rt-source-overload", {", power: 2 kW": ""}, ("GEN1",), "power of GEN1"),
    ("sc-alternator-overload", {"output: 100 A, ": ""}, ("ALT1",), "output of ALT1"),
    ("sc-inverter-capacity", {"power: 500 W, ": ""}, ("INV1",), "power of LD1"),
    ("sc-inverter-capacity", {"power: 600 W, ": ""}, ("INV1",), "power of INV1"),
    ("sc-inverter-surge", {", surge: 1200 W": ""}, ("INV1",), "power of INV1 for starting (surge)"),
    ("oc-dc-rating", {"dc-rated: true": "dc-rated: unknown"}, ("F1",), "whether F1 is rated for DC"),
    ("oc-generator-out", {"power: 2400 W, ": ""}, ("G1",), "rated power of G1 and rating of QG"),
    ("gb-inverter-case-size", {"1 m], wire: 1/0 AWG": "1 m]", "power: 1 kW, ": "", ", power: 600 W": "",
     "rating: 150 A": "voltage: 32 V"}, ("INV1",), "size of the DC positive"),
]  # fmt: skip
"""Rule, what is left out of its example, the place, and the fact asked for."""


@pytest.mark.parametrize(("slug", "changes", "at", "missing"), LEFT_OUT, ids=[f"{c[0]}: {c[3]}" for c in LEFT_OUT])
def test_a_fact_left_out_is_asked_for(slug: str, changes: dict[str, str], at: tuple[str, ...], missing: str) -> None:
    check = check_of(slug)
    assert check is not None
    text = check.example.spec
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    answer = report(text)

    assert [finding for finding in answer.findings if finding.rule == slug] == []
    assert [(one.at, one.missing) for one in answer.not_assessed if one.rule == slug] == [(at, missing)]


COLD_LOCKER = {
    "places:\n  locker: {min: -10 °C}\n": "conditions: {coldest: %s}\n",
    ", place: locker": "",
    ", low-temperature: 0 °C": "",
}
"""The battery stands somewhere indoors, and at which cold it stops charging is not said."""


@pytest.mark.parametrize(("coldest", "asked"), [("0 °C", []), ("-1 °C", [("B1",)])])
def test_a_locker_in_air_that_never_freezes_is_no_question(coldest: str, asked: list[tuple[str, ...]]) -> None:
    """Lithium is charged at 0 °C and above (common practice); indoors it is no colder than outside."""
    check = check_of("sc-lithium-cold-charge")
    assert check is not None
    text = check.example.spec
    for old, new in COLD_LOCKER.items():
        text = text.replace(old, new.replace("%s", coldest))
    answer = report(text)

    assert [one.at for one in answer.not_assessed if one.rule == check.slug] == asked


LEAD = {"chemistry: lifepo4, voltage: 12.8 V": "chemistry: agm, voltage: 12 V", ", bms: true": ""}
"""Batteries that two of may share a device (ABYC E-11.10.1.4.1)."""
SHARED = {
    "  - {id: W2, path: [B2, F2, BUS1], lengths: [100 mm, 0.8 m], wire: 2 AWG}\n":
        "  - {id: W2, path: [B2+, B1+], length: 150 mm, wire: 2 AWG}\n"
        "  - {id: W5, path: [B2-, B1-], length: 150 mm, wire: 2 AWG}\n",
    "  F2: {kind: fuse, style: class-t, rating: 125 A}\n": "",
}  # fmt: skip
"""The second battery hangs on the first by two jumpers."""


@pytest.mark.parametrize(
    ("changes", "severity", "asked"),
    [
        (SHARED, "danger", []),
        (SHARED | LEAD, "advice", []),
        (SHARED | LEAD | {"capacity: 50 Ah": "capacity: 600 Wh"}, "advice", []),
        (SHARED | LEAD | {"capacity: 50 Ah": "capacity: 260 Ah"}, "danger", []),
        (SHARED | LEAD | {"capacity: 50 Ah, ": ""}, None, ["chemistry and capacity of B1, B2"]),
        (SHARED | LEAD | {"B1+], length: 150 mm": "B1+], length: 1 m"}, "fault", []),
        (SHARED | LEAD | {"B1+], length: 150 mm": "B1+]"}, None, ["length of the jumpers between B1 and B2"]),
    ],
    ids=["lithium", "lead", "lead, in Wh", "520 Ah", "of unknown charge", "1 m apart", "at an unknown distance"],
)
def test_two_batteries_behind_one_fuse(changes: dict[str, str], severity: str | None, asked: list[str]) -> None:
    """ABYC E-11.10.1.4.1: each of lithium, and each of more than 500 Ah of lead, has a device of its own."""
    check = check_of("oc-parallel-battery-each")
    assert check is not None
    text = check.example.spec
    for old, new in changes.items():
        assert old in text, old
        text = text.replace(old, new)
    answer = report(text)

    assert [f.severity.value for f in answer.findings if f.rule == check.slug] == ([severity] if severity else [])
    assert [one.missing for one in answer.not_assessed if one.rule == check.slug] == asked
