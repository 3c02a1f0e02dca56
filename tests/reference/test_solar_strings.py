"""Solar strings: cold voltage, string fuses and array wiring, by an open course text and a laboratory's manual.

Sources: "PV system components, voltage, and current calculations" (NEC 2023), "Why series fusing", the laboratory's
suggested-practices manual SAND96-2797; examples marked so are computed from NEC 690.7, 690.8 and 690.9.
"""

from __future__ import annotations

import pytest
from helpers import report
from reference.worked_examples import segment, studied

from rigline.kinds.sources import PvArray
from rigline.study.solar import cold_v


@pytest.mark.parametrize(
    ("voc_v", "per_k", "coldest_c", "series", "printed_v", "half_v"),
    [
        pytest.param(49.5, -0.0027, -10, 1, 54.18, 0.005, id="PV01"),
        pytest.param(49.5, None, -10, 1, 56.43, 0.005, id="PV02 by the table, 1.14"),
        pytest.param(22.3, -0.0030, -20, 2, 50.6, 0.05, id="PV03 computed"),
        pytest.param(41.0, -0.0028, -25, 2, 93.5, 0.05, id="PV04 computed"),
        pytest.param(41.0, None, -25, 2, 98.4, 0.05, id="PV05 computed, 1.20"),
    ],
)
def test_the_cold_voltage_of_a_string_is_the_printed_one(
    voc_v: float, per_k: float | None, coldest_c: float, series: int, printed_v: float, half_v: float
) -> None:
    array = PvArray(id="PV1", series=series, voc_v=voc_v, voc_temperature_per_k=per_k)

    assert cold_v(array, coldest_c) == pytest.approx(printed_v, abs=half_v)


STRING = """
conditions: {{coldest: {coldest} °C}}
components:
  B1: {{kind: battery, voltage: 48 V}}
  PV1: {{kind: pv-array, series: {series}, voc: {voc} V, vmp: {vmp} V, isc: 9 A{slope}}}
  SC1: {{kind: charge-controller, max-input: {limit} V, output: 20 A}}
runs:
  - {{id: W1, path: [PV1, SC1.pv], length: 3 m, wire: 10 AWG}}
  - {{id: W2, path: [SC1.battery, B1], length: 1 m, wire: 10 AWG}}
"""


@pytest.mark.parametrize(
    ("series", "voc", "slope", "coldest", "limit", "verdict"),
    [
        pytest.param(11, 49.5, ", voc-temperature: -0.27 %/K", -10, 600, "advice", id="PV01: 11 modules, 596 V"),
        pytest.param(12, 49.5, ", voc-temperature: -0.27 %/K", -10, 600, "danger", id="PV01: 12 modules, 650 V"),
        pytest.param(10, 49.5, "", -10, 600, None, id="PV02: 10 modules, 564 V"),
        pytest.param(11, 49.5, "", -10, 600, "danger", id="PV02: 11 modules, 621 V"),
        pytest.param(2, 22.3, ", voc-temperature: -0.30 %/K", -20, 50, "danger", id="PV03: 50.6 V on 50 V"),
        pytest.param(2, 41, ", voc-temperature: -0.28 %/K", -25, 100, None, id="PV04: 93.5 V on 100 V"),
        pytest.param(2, 41, "", -25, 100, "advice", id="PV05: 98.4 V on 100 V"),
    ],
)
def test_as_many_modules_are_allowed_as_the_example_allows(
    series: int, voc: float, slope: str, coldest: float, limit: float, verdict: str | None
) -> None:
    """NEC 690.7 allows what the example allows; within the reserve it is advice, never a pass without a word."""
    text = STRING.format(series=series, voc=voc, vmp=0.8 * voc, slope=slope, coldest=coldest, limit=limit)
    findings = report(f"rigline: 1\nprofile: us-cabin\n{text}").findings

    assert [f.severity.value for f in findings if f.rule == "pv-voc-cold"] == ([verdict] if verdict else [])


def test_sub_arrays_of_five_small_modules_get_30_a_devices_on_10_awg() -> None:
    """PV11: 3.25 A x 1.25 = 4.06 A a module, 20.3 A for five, 25.4 A for the device: 30 A; 10 AWG at 75 °C is 35 A."""
    found = studied(
        """
components:
  B1: {kind: battery, voltage: 24 V}
  PV1: {kind: pv-array, parallel: 5, voc: 21 V, vmp: 17 V, isc: 3.25 A, string-fuse: 10 A}
  F1: {kind: breaker}
  SC1: {kind: charge-controller, output: 20 A}
runs:
  - {id: W1, path: [PV1, F1, SC1.pv], length: 1 m, wire: 10 AWG, insulation: 90 °C}
  - {id: W2, path: [SC1.battery, B1], length: 1 m}
""",
        "us-cabin",
    )
    hot = found.conductors["W1a+"]

    assert hot.current_a == pytest.approx(20.3, abs=0.05)
    assert hot.needed_a == pytest.approx(25.4, abs=0.05)
    assert found.sizes.ratings["F1"] == 30
    assert segment(found, "W1a").ampacity_a == 35


@pytest.mark.parametrize(
    ("parallel", "isc", "fuse", "reverse"),
    [
        pytest.param(1, 9, 15, None, id="PV20: one string"),
        pytest.param(2, 9, 15, None, id="PV20: two strings"),
        pytest.param(3, 5, 15, None, id="PV21: 12.5 A back into a module of 15 A"),
        pytest.param(4, 5, 15, 18.75, id="PV22 computed: 18.75 A"),
        pytest.param(3, 11.2, 20, 28.0, id="PV23 computed: 28 A"),
    ],
)
def test_strings_need_fuses_from_the_number_on_that_the_example_says(
    parallel: int, isc: float, fuse: float, reverse: float | None
) -> None:
    """(N - 1) x 1.25 x Isc against the module's largest series fuse, NEC 690.9(A)."""
    findings = report(
        f"""\
rigline: 1
profile: us-cabin
components:
  B1: {{kind: battery, voltage: 24 V}}
  PV1: {{kind: pv-array, parallel: {parallel}, voc: 40 V, vmp: 33 V, isc: {isc} A, max-series-fuse: {fuse} A}}
  SC1: {{kind: charge-controller, output: 20 A}}
runs:
  - {{id: W1, path: [PV1, SC1.pv], length: 1 m, wire: 4 AWG}}
  - {{id: W2, path: [SC1.battery, B1], length: 1 m, wire: 4 AWG}}
"""
    ).findings
    hits = [(f.found or 0.0, f.limit) for f in findings if f.rule == "oc-pv-string-fuse"]

    assert [limit for _, limit in hits] == ([] if reverse is None else [fuse])
    assert [amps for amps, _ in hits] == pytest.approx([] if reverse is None else [reverse])
