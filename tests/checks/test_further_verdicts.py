"""What a rule says of the cases that its two examples leave out: each is its passing example, changed as stated.

The figure that decides each stands beside it.
"""

from __future__ import annotations

import pytest
from helpers import report, study_of

from rigline.checks.registry import check_of
from rigline.checks.run import run_checks

Said = tuple[str, tuple[str, ...], float | None, float | None]
"""Severity, place, what was found and the limit, three digits each."""

SECOND_BATTERY = {
    "PU1: {kind: dc-load, name: Wash pump, power: 180 W}":
        "B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}",
    "[B1, F1, PU1]": "[B1, F1, B2]",
}  # fmt: skip
NEGATIVE = "  - {id: W%d, path: [DC1-, B1-], length: 0.5 m, wire: 10 AWG}\n"
CRANKING = {
    "chemistry: lifepo4, voltage: 12.8 V, capacity: 280 Ah, bms: true": "chemistry: agm, voltage: 12 V, cca: 400 A",
    "{kind: fuse, style: class-t, rating: 150 A}": "{kind: breaker, style: thermal, rating: 150 A, interrupting: 2 kA}",
}  # fmt: skip
PLACES = "body: metal\nplaces:\n  bay: {%s}\n"

VERDICTS: list[tuple[str, str, dict[str, str], list[Said]]] = [
    # 33 CFR 183.455; breakers for DC marked with line and load open an arc in that direction only.
    ("oc-dc-rating", "a polarised breaker between two batteries is fed from both sides",
     {"dc-rated: true": "dc-rated: true, polarised: true", **SECOND_BATTERY}, [("danger", ("F1",), None, None)]),
    ("oc-dc-rating", "a breaker without polarity may stand between two batteries", SECOND_BATTERY, []),
    ("oc-dc-rating", "a polarised breaker ahead of a pump is fed from one side",
     {"dc-rated: true": "dc-rated: true, polarised: true"}, []),
    # Common practice.
    ("oc-cranking-exemption-misused", "a starter's cable of 5.4 m",
     {"lengths: [0.4 m, 0.8 m]": "lengths: [0.4 m, 5 m]"}, [("advice", ("W1",), 5.4, 3)]),
    ("dg-implausible", "2500 Ah in one block", {"capacity: 7 Ah": "capacity: 2500 Ah"},
     [("advice", ("B1",), 2500, 2000)]),
    # NEC 445.13(A): 115 % of the rated current is the conductor; 2400 W at 120 V are 20 A, and 120 % of it 24 A.
    ("oc-generator-out", "30 A on a generator of 20 A", {"rating: 20 A": "rating: 30 A"},
     [("danger", ("G1",), 30, 24)]),
    ("oc-generator-out", "30 A on a generator whose plate says 20 A",
     {"rating: 20 A": "rating: 30 A", "power: 2400 W": "rating: 20 A"}, [("danger", ("G1",), 30, 24)]),
    ("dg-voltage-net-conflict", "a 24 V bar on 12 V batteries", {"rating: 200 A": "rating: 200 A, voltage: 24 V"},
     [("danger", ("BUS1",), 12, 24)]),
    ("ds-rating", "150 A for long through a switch of 100 A",
     {"cranking: true, current: 150 A, start: 400 A": "current: 150 A", "rating: 200 A, voltage: 32 V, cranking: 800 A":
      "rating: 100 A, voltage: 32 V"}, [("danger", ("Q1",), 150, 100)]),
    ("ph-inverter-clearance", "an inverter at 60 °C",
     {"clearance: 150 mm": "clearance: 150 mm, place: bay", "body: metal\n": PLACES % "max: 60 °C"},
     [("advice", ("INV1",), None, None)]),
    ("ph-inverter-clearance", "an inverter at 40 °C",
     {"clearance: 150 mm": "clearance: 150 mm, place: bay", "body: metal\n": PLACES % "max: 40 °C"}, []),
    ("ph-inverter-clearance", "an inverter in a closed box",
     {"clearance: 150 mm": "clearance: 150 mm, place: bay", "body: metal\n": PLACES % "ventilated: false"},
     [("advice", ("INV1",), None, None)]),
    ("dg-dangling-run", "two negatives between the same ends",
     {"runs:\n": f"runs:\n{NEGATIVE % 8}{NEGATIVE % 9}"},
     [("fault", ("B1",), None, None)]),
    # 1 % a kelvin above 40 °C leaves 8 A of 10 A; 7.5 A for long want 125 % (NEC 210.20(A)), which is 9.38 A.
    ("rt-ocpd-derated", "a thermal breaker at 60 °C",
     {"kind: fuse, style: blade": "kind: breaker, style: thermal, dc-rated: true", "max: 25 °C": "max: 60 °C"},
     [("fault", ("F1",), 8, 9.38)]),
    ("rt-ocpd-derated", "a magnetic breaker at 60 °C does not care",
     {"kind: fuse, style: blade": "kind: breaker, style: magnetic, dc-rated: true", "max: 25 °C": "max: 60 °C"}, []),
    # 33 CFR 183.460; NEC 404.2(B): a grounded conductor is not opened alone.
    ("oc-in-grounded-conductor", "a breaker in the bond",
     {"NEG1: {kind": "QB: {kind: breaker, rating: 50 A}\n  NEG1: {kind",
      "[NEG1, GND], length: 0.5 m": "[NEG1, QB, GND], lengths: [0.2 m, 0.3 m]"}, [("fault", ("QB",), None, None)]),
    ("oc-in-grounded-conductor", "a switch in the negative that opens with the positive",
     {"RS1: {kind: shunt, rating: 100 A}": "RS1: {kind: switch, voltage: 32 V, rating: 100 A, interlock: pair}"},
     [("advice", ("RS1",), None, None)]),
    ("gb-hull-as-return", "20 A through a frame that may carry it",
     {"us-boat": "us-rv", "path: [WN1-, B1-], length: 1 m, wire: 8 AWG, carries: negative":
      "path: [WN1-, GND], length: 1 m, wire: 8 AWG"}, []),
    ("gb-hull-as-return", "25 A through a frame that may carry it",
     {"us-boat": "us-rv", "path: [WN1-, B1-], length: 1 m, wire: 8 AWG, carries: negative":
      "path: [WN1-, GND], length: 1 m, wire: 8 AWG", "current: 20 A": "current: 25 A"},
     [("advice", ("WN1",), 25, 20)]),
    ("cd-insulation-rating", "insulation for 60 °C in air of 60 °C",
     {"conditions: {coldest: -10 °C}": "conditions: {coldest: -10 °C}\nplaces:\n  roof: {max: 60 °C}",
      "insulation-voltage: 600 V": "insulation-voltage: 600 V, insulation: 60 °C, place: roof"},
     [("fault", ("W1",), 60, 60)]),
    # Converters that hold one voltage each: the one that holds it highest carries all. Common practice.
    ("sc-multi-charger-coordination", "two converters with their outputs tied",
     {"BUS1: {kind: busbar, rating: 100 A}": "BUS1: {kind: busbar, rating: 100 A}\n"
      "  CV1: {kind: dc-converter, output: 10 A, output-voltage: 5 V}\n"
      "  CV2: {kind: dc-converter, output: 10 A, output-voltage: 5 V}\n  J1: {kind: junction}",
      "runs:\n": "runs:\n" + "".join(
          f"  - {{id: C{n}, path: [BUS1, CV{n}.in], length: 0.3 m, wire: 10 AWG}}\n"
          f"  - {{id: D{n}, path: [CV{n}.out, J1], length: 0.3 m, wire: 10 AWG}}\n" for n in (1, 2))},
     [("advice", ("CV1", "CV2"), None, None)]),
    ("sc-voltage-mismatch", "lamps made for 10 to 30 V on 24 V",
     {"Lamps, voltage: 24 V": "Lamps, voltage: 12 V, min-voltage: 10 V, max-voltage: 30 V"}, []),
    ("sc-voltage-mismatch", "lamps made for 10 to 16 V on 24 V",
     {"Lamps, voltage: 24 V": "Lamps, voltage: 12 V, min-voltage: 10 V, max-voltage: 16 V"},
     [("danger", ("LT1",), 24, 12)]),
    # ISO 10133 and ISO 13297: no pole of an isolated system touches metal.
    ("gb-isolated-dc-undeclared", "a grounded sensor on the positive alone",
     {"type: ground fault": "type: ground fault, grounded-case: true", "[Q1, SN1]": "[Q1.out+, SN1+]"},
     [("fault", ("SN1",), 1, 0)]),
    # ABYC E-11, Table IV-B, from memory: 1500 A up to 650 A of cold cranking current, 3000 A up to 1100 A.
    ("oc-interrupting-rating", "2 kA behind 400 A of cold cranking current", CRANKING, []),
    ("oc-interrupting-rating", "2 kA behind twice 400 A of cold cranking current",
     CRANKING | {"charge-display: true": "charge-display: true, parallel: 2, internal-fuse: 200 A"},
     [("danger", ("F1",), 2000, 3000)]),
    ("oc-interrupting-rating", "2 kA behind 400 A of a vehicle's battery",
     CRANKING | {"kind: battery": "kind: vehicle-battery",
                 "disconnect: true, charge-display: true": "output: 100 A, regulator: internal"}, []),
    # Nominal voltages within 10 % are one; 200 V and 230 V are two. Common practice.
    ("ac-voltage-frequency", "a kettle for 200 V on 230 V", {"900 W, voltage: 230 V": "900 W, voltage: 200 V"},
     [("danger", ("KT1", "SH1"), 230, 200)]),
    # NEC 310.15(C)(1): bundled for more than 24 in (0.61 m). 33 CFR 183.425 Table 5: 12 AWG of 105 °C carries 45 A, and
    # 0.6 of it among four to six wires, which is 27 A; the next rating is 30 A.
    ("cd-bundling", "a bundle of 0.7 m",
     {"loom: starboard": "loom: port", "[B1, F1, M1], lengths: [100 mm, 2 m]":
      "[B1, F1, M1], lengths: [100 mm, 0.6 m]"}, [("fault", ("W1",), 40, 30)]),
    ("cd-bundling", "a bundle of 0.6 m",
     {"loom: starboard": "loom: port", "[B1, F1, M1], lengths: [100 mm, 2 m]":
      "[B1, F1, M1], lengths: [100 mm, 0.5 m]"}, []),
    # NEC 408.36(D): only the breaker through which a panel is fed.
    ("ac-backfed-breaker", "a branch breaker of a panel with lugs",
     {"[GEN1, QM, ACP1], lengths: [300 mm, 1 m]": "[GEN1, ACP1], length: 1 m",
      "  QM: {kind: breaker, rating: 30 A, poles: 1, voltage: 120 V, interrupting: 10 kA, hold-down: true}\n": "",
      "poles: 1, voltage: 120 V, interrupting: 10 kA}": "poles: 1, voltage: 120 V, hold-down: false}"}, []),
    # A shunt in a negative of its own carries what the devices at the battery let through.
    ("mo-shunt-rating", "a shunt of 100 A in the negative of a winch behind 125 A",
     {"[B1, F1, RS1, M1], lengths: [100 mm, 0.3 m, 1 m]": "[B1+, F1, M1+], lengths: [100 mm, 1 m]",
      "path: [M1-, GND], carries: bond": "path: [M1-, RS1, B1-], carries: negative",
      "length: 0.5 m, wire: 2 AWG}": "lengths: [0.5 m, 0.2 m], wire: 2 AWG}\n"
      "  - {id: W3, path: [B1-, GND], carries: bond, length: 0.5 m, wire: 2 AWG}", "rating: 300 A": "rating: 100 A"},
     [("danger", ("RS1", "F1"), 125, 100)]),
    # NEC 690.11: 80 V and more. Four modules of 22 V are 88 V before the cold adds to it.
    ("pv-building-protection", "88 V on a roof without arc protection",
     {"voc: 22 V, isc: 6 A": "series: 4, voc: 22 V, isc: 6 A, arc-fault-protection: false"},
     [("fault", ("PV1",), None, None)]),
    ("pv-building-protection", "22 V on a roof without arc protection",
     {"voc: 22 V, isc: 6 A": "voc: 22 V, isc: 6 A, arc-fault-protection: false"}, []),
]  # fmt: skip


def _rounded(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.3g}")


@pytest.mark.parametrize(
    ("slug", "changes", "said"), [(v[0], v[2], v[3]) for v in VERDICTS], ids=[f"{v[0]}: {v[1]}" for v in VERDICTS]
)
def test_a_further_case_gets_its_verdict(slug: str, changes: dict[str, str], said: list[Said]) -> None:
    check = check_of(slug)
    assert check is not None
    text = check.example.spec
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    found = [finding for finding in report(text).findings if finding.rule == slug]

    assert [(f.severity.value, f.at, _rounded(f.found), _rounded(f.limit)) for f in found] == said


def test_wires_of_an_ohm_bring_no_100_w_from_12_v() -> None:
    """14 AWG has at least 8.3 ohm a km (NEC Chapter 9 Table 8): 120 m are an ohm, and 12 V bring 144 / 4 = 36 W."""
    check = check_of("dg-unreachable-load")
    assert check is not None
    text = check.example.spec.replace("Lamps, current: 4 A", "Lamps, power: 100 W")
    text = text.replace("[DC1, F2, LT1], lengths: [50 mm, 2 m]", "[DC1, F2, LT1], lengths: [50 mm, 60 m]")
    found = [finding for finding in report(text).findings if finding.rule == check.slug]

    assert [(f.at, f.found, f.runs) for f in found] == [(("LT1",), 100, ("W2", "W1"))]
    assert 18 < (found[0].limit or 0) < 36
    assert "wants 100 W" in found[0].message


def test_a_drop_is_told_in_percent_of_the_nominal_voltage() -> None:
    check = check_of("cd-voltage-drop-general")
    assert check is not None
    found = study_of(check.example.failing_spec)
    (finding,) = [one for one in run_checks(found, (check,)).findings if one.rule == check.slug]
    drop = found.load_drops[finding.at[0]]

    assert finding.found == pytest.approx(100 * drop.running_v / drop.nominal_v)
    assert finding.limit == pytest.approx(100 * found.profile.drop_general_frac.value)


@pytest.mark.parametrize(
    ("opens", "own", "said"),
    [("8 kA", "20 kA", []), ("4 kA", "20 kA", ["advice"]), ("4 kA", "3 kA", ["danger"] * 3),
     ("3 kA", "20 kA", ["danger"])],
)  # fmt: skip
def test_a_branch_breaker_behind_two_batteries(opens: str, own: str, said: list[str]) -> None:
    """NEC 110.9. 12.8 V / 5 kA are 2.6 mΩ; 0.9 m of 2 AWG there and back (0.51 mΩ/m) add 0.9 mΩ, so each battery brings
    3.6 kA, both 7.3 kA. Where each has a device of its own that opens its part, 4 kA are advice."""
    check = check_of("oc-parallel-battery-each")
    assert check is not None
    text = check.example.spec
    for id, amps, capacity in (("F1", 125, own), ("F2", 125, own), ("F3", 100, opens)):
        fuse = f"{id}: {{kind: fuse, style: class-t, rating: {amps} A}}"
        assert fuse in text
        breaker = f"{id}: {{kind: breaker, style: thermal, rating: {amps} A, interrupting: {capacity}}}"
        text = text.replace(fuse, breaker)
    found = [finding for finding in report(text).findings if finding.rule == "oc-interrupting-rating"]

    assert [finding.severity.value for finding in found] == said
