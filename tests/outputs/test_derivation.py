"""A derivation on paper: each number with its formula, its figures with units, and its source."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from reference.worked_examples import studied

import rigline
from rigline.outputs.derivation import derivation
from rigline.study.study import Study

SPECS = sorted((Path(__file__).parent.parent.parent / "specs").glob("*.yaml"))

BOX = """
conditions: {coldest: -20 °C}
defaults: {insulation: 90 °C}
components:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, internal-resistance: 5 mΩ}
  F1: {kind: fuse, style: blade, rating: 60 A, interrupting: 2 kA}
  BUS1: {kind: busbar}
  GND: {kind: chassis}
  LD1: {kind: dc-load, power: 36 W, continuous: true}
  PV1: {kind: pv-array, series: 2, voc: 22.3 V, vmp: 18 V, isc: 9 A, voc-temperature: -0.30 %/K}
  SC1: {kind: charge-controller, max-input: 100 V, output: 20 A}
  FI: {kind: fuse, style: class-t, rating: 200 A}
  INV1: {kind: inverter, power: 1000 W, surge: 2000 W, output: 230 V, efficiency: 90 %, low-cutoff: 11 V,
         neutral-bond: fixed}
  QA: {kind: breaker, rating: 10 A, curve: B}
  LD2: {kind: ac-load, power: 460 W}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [1 m, 4 m], wire: 6 mm²}
  - {id: W2, path: [BUS1, LD1], length: 1 m, wire: 6 mm²}
  - {id: W3, path: [PV1, SC1.pv], length: 3 m, wire: 6 mm²}
  - {id: W4, path: [SC1.battery, BUS1], length: 1 m, wire: 6 mm²}
  - {id: W5, path: [BUS1, FI, INV1.dc], lengths: [0.1 m, 1 m], wire: 50 mm²}
  - {id: W6, path: [INV1.ac-out, QA, LD2], lengths: [1 m, 9 m], wire: 2.5 mm²}
  - {id: W7, path: [BUS1-, GND], length: 0.5 m, carries: bond, wire: 6 mm²}
"""


@pytest.fixture(scope="module")
def box() -> Study:
    """One small system with DC, AC, a bond and the sun."""
    return studied(BOX, "iec-cabin")


def _told(found: Study, word: str) -> str:
    text = derivation(found, word)
    assert text is not None
    return " ".join(text.split())


def test_a_load_is_told_with_the_division_that_gives_its_current(box: Study) -> None:
    assert "LD1 takes 3 A: 36 W / 12 V" in _told(box, "W2a")
    assert "3 A with every load on + 0.25 × 3 A that lasts three hours or more = 3.75 A" in _told(box, "W2a")


def test_an_inverter_is_told_with_its_efficiency_and_lowest_voltage(box: Study) -> None:
    assert "INV1 takes 101 A: 1000 W / 90% / 11 V, its lowest" in _told(box, "W5b")


def test_an_array_is_told_with_its_factor_for_bright_sun_and_its_cold_voltage(box: Study) -> None:
    """2 x 22.3 V x (1 + 0.003 x 45) = 50.62 V; 0.09 % x 45 K of 44.6 V on top."""
    assert "PV1 gives 11.2 A: 1.25 × 9 A short-circuit current (NEC 690.8(A))" in _told(box, "W3a")
    assert "SC1 gives" not in _told(box, "W3a")
    assert "2 × 22.3 V × (1 + 0.300%/K × 45 K) = 50.62 V on SC1" in _told(box, "PV1")
    assert "52.43 V" in _told(box, "SC1")


def test_a_dc_short_is_told_as_voltage_over_battery_and_cables(box: Study) -> None:
    """2 x 5 m of 6 mm² at 3.3 mΩ/m."""
    assert "at BUS1: B1 12 V / (5 mΩ battery + 33 mΩ cables) = 316 A" in _told(box, "W1b")
    assert "F1 (60 A) opens at 120 A, twice its rating" in _told(box, "W1b")


def test_a_wire_that_only_limited_sources_feed_says_so(box: Study) -> None:
    assert "no battery reaches it: what feeds it limits its own current" in _told(box, "W3a")


def test_an_inverters_short_is_told_with_its_limit_and_what_does_not_open(box: Study) -> None:
    text = _told(box, "W6b")

    assert "INV1 is an inverter: taken as its surge power, 2000 W, over 230 V. The wires alone," in text
    assert "QA (10 A) opens at 50 A, 5 times its rating, at once, by curve B" in text
    assert "it may not open; INV1 must switch off by itself" in text
    assert "to earth" in text


def test_a_shore_supplys_short_is_told_with_its_impedance_and_the_factor_on_the_voltage() -> None:
    shore = """
components:
  SH1: {kind: shore-inlet, voltage: 230 V, rating: 16 A, short-circuit: 1 kA}
  QA: {kind: breaker, rating: 10 A, curve: B, interrupting: 6 kA}
  LD1: {kind: ac-load, power: 460 W}
runs:
  - {id: W1, path: [SH1, QA, LD1], lengths: [1 m, 9 m], wire: 2.5 mm²}
"""
    found, unknown = studied(shore, "iec-cabin"), studied(shore.replace(", short-circuit: 1 kA", ""), "iec-cabin")

    assert "1.10 × 230 V / √((253 mΩ)² + (159.6 mΩ)²) = 846 A at LD1 to neutral" in _told(found, "W1b")
    assert "SH1 states 1000 A at 230 V, so Z = 1.1 × 230 V / 1000 A = 253 mΩ" in _told(found, "W1b")
    assert "0.90 × 230 V / (253 mΩ + " in _told(found, "W1b")
    assert "6000 A; must open" in _told(found, "QA")
    assert "from SH1 not assessed: the spec does not state its short-circuit" in _told(unknown, "W1b")


def test_a_bond_is_told_with_its_least_size_and_where_that_comes_from(box: Study) -> None:
    text = _told(box, "W7")

    assert "It carries no current in normal use" in text
    assert "Least" in text
    assert "IEC 60364-5-54" in text


def test_a_share_of_a_run_is_told_as_one() -> None:
    found = studied(BOX.replace("lengths: [1 m, 9 m]", "length: 10 m"), "iec-cabin")

    assert "5 m one way (an equal share of its run)" in _told(found, "W6a")


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_every_wire_and_component_of_the_demos_is_derived_without_a_gap(path: Path) -> None:
    found = rigline.study_of(rigline.read(path))
    for word in [*(run.id for run in found.system.runs), *found.system.components]:
        text = derivation(found, word)
        assert text is not None
        assert re.findall(r"\bnan\b|\binf\b|None|\{|\}|e[+-]\d\d", text) == []
