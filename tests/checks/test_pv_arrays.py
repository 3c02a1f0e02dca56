"""Solar arrays: cases from practice and the sides of rules that one example can't show."""

from __future__ import annotations

import pytest
from helpers import report, study_of

from rigline.checks.registry import all_checks, check_of
from rigline.checks.run import run_checks
from rigline.study.array_inputs import array_inputs


def of_rules(text: str, *prefixes: str) -> list[tuple[str, str, tuple[str, ...]]]:
    """Findings of some rules or families of rules."""
    rules = [check for check in all_checks() if check.slug.startswith(prefixes)]
    return sorted((f.rule, f.severity.value, f.at) for f in run_checks(study_of(text), rules).findings)


def on_controller(array: str, controller: str, battery: str = "51.2 V", more: str = "", runs: str = "") -> str:
    """One array, or more, with a switch of its own on a controller and its battery."""
    return f"""\
rigline: 1
title: Modules on a controller
profile: us-boat
body: plastic
conditions: {{coldest: -10 °C}}
components:
  B1: {{kind: battery, chemistry: lifepo4, voltage: {battery}, capacity: 200 Ah, bms: true}}
  F1: {{kind: fuse, style: class-t, rating: 80 A}}
  PV1: {{kind: pv-array, {array}, frame: none, disconnect: true}}
{more}  SC1: {{kind: charge-controller, {controller}}}
runs:
  - {{path: [PV1, SC1], length: 3 m, wire: 8 AWG, sunlight-resistant: true}}
{runs}  - {{path: [SC1, F1, B1], length: 1 m, wire: 4 AWG}}
"""


@pytest.mark.parametrize(
    ("series", "expected"),
    [(4, {"pv-voc-cold"}), (3, set()), (2, {"pv-mppt-start"})],
)
def test_modules_of_37_v_on_a_150_v_controller_and_a_48_v_bank(series: int, expected: set[str]) -> None:
    """Case from practice: modules of 37 V and 9 A. Four in series are too high in the cold, two too low to start."""
    text = on_controller(f"series: {series}, voc: 37 V, vmp: 30 V, isc: 9 A", "max-input: 150 V, method: mppt")
    assert {rule for rule, *_ in of_rules(text, "pv-voc", "pv-mppt")} == expected


def test_five_modules_cannot_be_split_three_and_two() -> None:
    """Case from practice: the longer string is dragged down to the shorter. 5 % apart is common practice."""
    text = on_controller(
        "series: 3, voc: 37 V, vmp: 30 V, isc: 9 A",
        "max-input: 150 V, method: mppt",
        more="  PV2: {kind: pv-array, series: 2, voc: 37 V, vmp: 30 V, isc: 9 A, frame: none, disconnect: true}\n",
        runs="  - {path: [PV2, SC1], length: 3 m, wire: 8 AWG, sunlight-resistant: true}\n",
    )
    assert of_rules(text, "pv-string") == [("pv-string-parallel-mismatch", "fault", ("SC1", "PV2", "PV1"))]


@pytest.mark.parametrize(("strings", "expected"), [(2, []), (3, [("oc-pv-string-fuse", "fault", ("PV1",))])])
def test_two_equal_strings_need_no_fuses_and_three_do(
    strings: int, expected: list[tuple[str, str, tuple[str, ...]]]
) -> None:
    """Case from practice: the others push (n - 1) x 1.25 x 10.66 A back, the modules stand 20 A. NEC 690.9(A)."""
    text = on_controller(
        f"series: 2, parallel: {strings}, voc: 24 V, vmp: 20 V, isc: 10.66 A, max-series-fuse: 20 A",
        "max-input: 100 V, output: 60 A, method: mppt",
        "12.8 V",
    )
    assert of_rules(text, "oc-pv-string") == expected


FOUR_STRINGS = """\
rigline: 1
title: Four modules in parallel behind a breaker
profile: {profile}
conditions: {{coldest: -10 °C}}
defaults: {{insulation: {insulation}, terminals: 75 °C}}
components:
  B1: {{kind: battery, chemistry: agm, voltage: 12 V, capacity: 400 Ah, short-circuit: 5 kA}}
  F1: {{kind: fuse, style: class-t, rating: 80 A}}
  PV1: {{kind: pv-array, parallel: 4, voc: 24 V, vmp: 20 V, isc: 10.66 A, max-series-fuse: 20 A, combiner: true,
        string-fuse: 20 A, frame: none}}
  Q1: {{kind: breaker, rating: 80 A, voltage: 150 V, interrupting: 5 kA, poles: 2}}
  SC1: {{kind: charge-controller, max-input: 100 V, output: 60 A, max-array-current: 60 A, method: mppt}}
runs:
  - {{id: W1, path: [PV1, Q1], length: 3 m, wire: 4 AWG, sunlight-resistant: true}}
  - {{id: W2, path: [Q1, SC1], length: 0.5 m, wire: 6 AWG, sunlight-resistant: true}}
  - {{id: W3, path: [SC1, F1, B1], length: 1 m, wire: 2 AWG}}
"""


@pytest.mark.parametrize(
    ("profile", "insulation", "expected"),
    [("us-boat", "105 °C", []), ("us-cabin", "75 °C", ["W2"])],
)
def test_an_80_a_breaker_on_6_awg_is_right_on_a_boat_and_wrong_in_a_cabin(
    profile: str, insulation: str, expected: list[str]
) -> None:
    """Case from practice: 4 x 10.66 A x 1.56 = 66.5 A. 6 AWG carries 120 A as boat cable (ABYC E-11) and 65 A as
    building wire (NEC Table 310.16, 75 °C), which is below 66.5 A and below its 80 A breaker."""
    text = FOUR_STRINGS.format(profile=profile, insulation=insulation)
    said = [
        f for f in report(text).findings if f.rule in ("cd-undersized", "rt-ocpd-over-conductor") and f.runs == ("W2",)
    ]
    assert sorted({run for f in said for run in f.runs}) == expected


@pytest.mark.parametrize(
    ("controller", "expected"),
    [
        ("method: pwm, output: 20 A", []),
        ("method: pwm, output: 10 A", [("pv-controller-current", "danger", ("SC1", "PV1"))]),
        ("method: mppt, output: 20 A, max-array-current: 20 A", []),
        ("method: mppt, output: 20 A, max-array-current: 10 A", [("pv-controller-current", "fault", ("SC1", "PV1"))]),
        ("method: mppt, output: 10 A, max-array-current: 20 A", [("pv-controller-current", "advice", ("SC1", "PV1"))]),
        ("method: mppt, output: 10 A, max-array-current: 20 A, max-array-power: 300 W", []),
        (
            "method: mppt, output: 10 A, max-array-current: 20 A, max-array-power: 150 W",
            [("pv-controller-current", "fault", ("SC1", "PV1"))],
        ),
    ],
)
def test_what_an_array_may_bring_depends_on_the_kind_of_controller(
    controller: str, expected: list[tuple[str, str, tuple[str, ...]]]
) -> None:
    """12 A x 1.25 = 15 A (NEC 690.8(A)) through a switching one; 200 W on 10 A at 12.8 V is 1.56 times its output."""
    array = "pmax: 200 W, voc: 22 V, vmp: 18 V, isc: 12 A"
    text = on_controller(array, f"max-input: 50 V, {controller}", "12.8 V")
    assert of_rules(text, "pv-controller-current") == expected


@pytest.mark.parametrize(
    ("array", "expected"),
    [
        ("voc: 22 V, vmp: 18 V, isc: 6 A", []),
        ("voc: 22 V, vmp: 18 V, isc: 13 A", ["pv-disconnect"]),
        ("series: 2, voc: 22 V, vmp: 18 V, isc: 6 A", ["pv-disconnect"]),
    ],
)
def test_a_small_array_may_be_unplugged_by_hand(array: str, expected: list[str]) -> None:
    """Up to 30 V in the cold and 15 A a plug does; common practice."""
    text = on_controller(array, "max-input: 100 V, method: mppt", "12.8 V").replace(", disconnect: true", "")
    assert [rule for rule, *_ in of_rules(text, "pv-disconnect")] == expected


def test_a_switch_out_of_reach_is_no_disconnect() -> None:
    """The handle must be within reach. NEC 690.13, from memory."""
    text = on_controller("series: 2, voc: 22 V, vmp: 18 V, isc: 6 A", "max-input: 100 V", "12.8 V")
    text = text.replace(", disconnect: true", "").replace("[PV1, SC1]", "[PV1, Q1, SC1]")
    switch = "  Q1: {kind: switch, rating: 40 A, voltage: 150 V, poles: 2, accessible: %s}\n  SC1:"
    assert of_rules(text.replace("  SC1:", switch % "true"), "pv-disconnect") == []
    assert of_rules(text.replace("  SC1:", switch % "false"), "pv-disconnect") == [
        ("pv-disconnect", "fault", ("SC1", "PV1", "Q1"))
    ]


def test_crossed_solar_wires_are_found_as_reversed_polarity() -> None:
    """Plus on minus at a controller's input is one fault with one name."""
    text = on_controller("voc: 22 V, vmp: 18 V, isc: 6 A", "max-input: 100 V", "12.8 V")
    crossed = "  - {path: [PV1+, SC1.pv-], length: 3 m}\n  - {path: [PV1-, SC1.pv+], length: 3 m}\n"
    text = text.replace("  - {path: [PV1, SC1], length: 3 m, wire: 8 AWG, sunlight-resistant: true}\n", crossed)
    assert of_rules(text, "dg-polarity", "pv-orientation") == [("pv-orientation-polarity", "danger", ("SC1", "PV1"))]


NEAR_THE_LIMIT = """\
rigline: 1
title: A string close to what its controller stands
profile: us-rv
conditions: {{coldest: -25 °C}}
components:
  B1: {{kind: battery, chemistry: agm, voltage: 24 V, capacity: 200 Ah}}
  PV1: {{kind: pv-array, series: 2, voc: 41 V, vmp: 34 V, isc: 9 A{coefficient}}}
  SC1: {{kind: charge-controller, max-input: {limit} V, output: 20 A}}
runs:
  - {{path: [PV1, SC1.pv], length: 3 m, wire: 10 AWG}}
  - {{path: [SC1.battery, B1], length: 1 m, wire: 10 AWG}}
"""


@pytest.mark.parametrize(
    ("coefficient", "limit", "severities"),
    [
        (", voc-temperature: -0.28 %/K", 100, []),
        (", voc-temperature: -0.28 %/K", 95, ["advice"]),
        (", voc-temperature: -0.28 %/K", 93.4, ["danger"]),
        ("", 102.2, []),
        ("", 100, ["advice"]),
        ("", 98.3, ["danger"]),
    ],
)
def test_a_string_near_its_controllers_limit_is_advised_to_keep_a_reserve(
    coefficient: str, limit: float, severities: list[str]
) -> None:
    """41 V x 2 at -25 °C: 93.5 V by 0.28 %/K, 98.4 V by Table 690.7(A); 3.7 V of reserve for 50 K at 0.09 %/K."""
    findings = report(NEAR_THE_LIMIT.format(coefficient=coefficient, limit=limit)).findings

    assert [f.severity.value for f in findings if f.rule == "pv-voc-cold"] == severities


def test_a_module_without_a_coefficient_is_not_assessed_where_it_is_colder_than_the_table() -> None:
    """NEC Table 690.7(A) ends at -40 °C; its last factor is no bound below that."""
    text = NEAR_THE_LIMIT.format(coefficient="", limit=200).replace("coldest: -25 °C", "coldest: -45 °C")
    missing = [one.missing for one in report(text).not_assessed if one.rule == "pv-voc-cold"]

    assert missing == ["voc-temperature of PV1: NEC Table 690.7(A) ends at -40 °C"]


DIRECT = """\
rigline: 1
title: A module on a battery
profile: us-boat
body: plastic
components:
  B1: {kind: battery, CHEMISTRY, voltage: 12 V, capacity: 100 Ah}
  Q1: {kind: switch, rating: 100 A}
  F1: {kind: fuse, style: blade, rating: 10 A}
  PV1: {kind: pv-array, voc: 22 V, isc: ISC}
  SC1: {kind: charge-controller, output: 10 A}
runs:
  - {id: W1, path: [B1, F1, Q1, FEED], length: 3 m}
  - {id: W2, path: [PV1, SC1.pv], length: 3 m}
"""


@pytest.mark.parametrize(
    ("chemistry", "isc", "feed", "severity"),
    [
        ("agm", "0.9 A", "PV1", []),
        ("agm", "5.9 A", "PV1", ["fault"]),
        ("lifepo4", "0.9 A", "PV1", ["danger"]),
        ("lifepo4", "5.9 A", "SC1.battery", []),
    ],
)
def test_an_array_needs_a_controller_unless_it_only_keeps_lead_full(
    chemistry: str, isc: str, feed: str, severity: list[str]
) -> None:
    spec = DIRECT.replace("CHEMISTRY", f"chemistry: {chemistry}").replace("ISC", isc).replace("FEED", feed)

    assert [one[1] for one in of_rules(spec, "pv-controller-missing")] == severity


def test_the_power_of_strings_is_that_of_all_their_modules() -> None:
    """Three strings of two modules of 160 W are 960 W."""
    check = check_of("oc-pv-string-fuse")
    assert check is not None

    assert [one.power_w for one in array_inputs(study_of(check.example.spec))] == [960]
    assert [one.power_w for one in array_inputs(study_of(check.example.spec.replace("pmax: 160 W, ", "")))] == [None]
