"""Well-formed specs that no sane system has: each gets an answer in words from every command, never a traceback.

No output may hold nan, inf or the name of nothing, and every spec either is a problem at a line or is drawn and judged.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rigline.cli import main

DC = """\
rigline: 1
profile: us-boat
components:
  B1: {{kind: battery, chemistry: agm, voltage: 12 V, capacity: {capacity}{battery}}}
  F1: {{kind: fuse, style: blade, rating: 15 A}}
  LD1: {{kind: dc-load, {load}}}
  GND: {{kind: chassis}}
runs:
  - {{id: W1, path: [B1, F1, LD1], lengths: [{near}, {far}]{wire}}}
  - {{id: W2, path: [B1-, GND], length: 0.5 m, wire: 8 AWG}}
"""


def _dc(
    near: str = "100 mm",
    far: str = "2 m",
    load: str = "power: 24 W",
    wire: str = "",
    battery: str = "",
    capacity: str = "100 Ah",
) -> str:
    return DC.format(near=near, far=far, load=load, wire=wire, battery=battery, capacity=capacity)


AC = """\
rigline: 1
profile: eu-caravan
components:
  SH1: {{kind: shore-inlet, voltage: 230 V, rating: 16 A, short-circuit: {short}, loop-impedance: {loop}}}
  QM: {{kind: breaker, rating: 16 A, poles: 2, curve: C}}
  TR1: {{kind: transformer, power: {power}, output: 115 V, bond: secondary, impedance: {impedance}}}
  LD1: {{kind: ac-load, power: {load}}}
runs:
  - {{id: W1, path: [SH1, QM, TR1.primary], lengths: [{length}, {length}], wire: 2.5 mm²}}
  - {{id: W2, path: [TR1.secondary, LD1], length: {length}, wire: 2.5 mm²}}
"""


def _ac(
    short: str = "1 kA",
    loop: str = "0.8 Ω",
    power: str = "3 kW",
    impedance: str = "4 %",
    load: str = "500 W",
    length: str = "5 m",
) -> str:
    return AC.format(short=short, loop=loop, power=power, impedance=impedance, load=load, length=length)


TWO_BATTERIES = """\
rigline: 1
profile: us-rv
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah}
  B2: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah}
runs:
  - {id: W1, path: [B1+, B2-], length: 0.3 m, wire: 2 AWG}
  - {id: W2, path: [B2+, B1-], length: 0.3 m, wire: 2 AWG}
"""
NOTHING_ON_IT = """\
rigline: 1
profile: us-cabin
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, series: 4, parallel: 4}
  BUS1: {kind: busbar}
runs:
  - {id: W1, path: [B1, BUS1], length: 0.3 m}
"""
LONE = "rigline: 1\nprofile: us-cabin\ncomponents:\n  B1: {kind: battery, voltage: 12 V}\n"
BACKWARDS_SUN = """\
rigline: 1
profile: us-rv
conditions: {coldest: -89 °C}
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 100 Ah}
  PV1: {kind: pv-array, series: 40, voc: 49 V, vmp: 40 V, isc: 12 A, voc-temperature: -9 %/K}
  SC1: {kind: charge-controller, max-input: 100 V, output: 20 A}
runs:
  - {id: W1, path: [PV1, SC1.pv], length: 3 m, wire: 10 AWG}
  - {id: W2, path: [SC1.battery, B1], length: 1 m, wire: 10 AWG}
"""

SPECS = {
    "runs of no length": _dc("0 m", "0 m"),
    "runs of no length, wire given": _dc("0 m", "0 m", wire=", wire: 16 AWG"),
    "a load of 0 W": _dc(load="power: 0 W"),
    "a load of 0 A": _dc(load="current: 0 A"),
    "a run of 1 km": _dc(far="1 km"),
    "a run of 1 km, wire given": _dc(far="1 km", wire=", wire: 16 AWG"),
    "a run of 1000 km": _dc(far="1000 km"),
    "a load of 1e9 A": _dc(load="current: 1e9 A"),
    "a load of 1000000000 A": _dc(load="current: 1000000000 A"),
    "a load of 20 kA": _dc(load="current: 20 kA"),
    "a load of 1 GW": _dc(load="power: 1000000 kW"),
    "a battery of 1e9 A": _dc(battery=", short-circuit: 1000000000 A"),
    "a battery of 1 mA": _dc(battery=", short-circuit: 1 mA"),
    "a battery of 1 nΩ": _dc(battery=", internal-resistance: 0.000001 mΩ"),
    "a battery of no capacity": _dc(capacity="0 Ah"),
    "a loop of two batteries": TWO_BATTERIES,
    "a bank with nothing on it": NOTHING_ON_IT,
    "a battery alone": LONE,
    "an array far beyond its controller in a cold that is not": BACKWARDS_SUN,
    "a shore supply of 0 A": _ac(short="0 A"),
    "a shore supply of 1 mA": _ac(short="1 mA"),
    "a shore supply of 1e9 A": _ac(short="1000000000 A"),
    "an earth loop of 0 Ω": _ac(loop="0 Ω"),
    "an earth loop of 1 MΩ": _ac(loop="1000000 Ω"),
    "a transformer of 0 W": _ac(power="0 W"),
    "a transformer without impedance": _ac(impedance="0 %"),
    "a transformer of 100 %": _ac(impedance="100 %"),
    "AC runs of no length": _ac(length="0 m"),
    "AC runs of 1 km": _ac(length="1 km"),
    "an AC load of 1 GW": _ac(load="1000000 kW"),
}
UNTELLABLE = re.compile(r"\b[Nn]a[Nn]\b|\b[Ii]nf(?:inity)?\b|Traceback|\bNone\b|fault of Rigline")


@pytest.mark.parametrize("name", SPECS)
def test_an_extreme_spec_gets_an_answer_in_words(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec, drawing = tmp_path / "spec.yaml", tmp_path / "out.svg"
    spec.write_text(SPECS[name], encoding="utf-8")
    codes, said = {}, []
    words = re.findall(r"\b(?:id: )?(W\d|[A-Z]+\d)(?=:|,)", SPECS[name])
    commands = [
        ("check", str(spec)),
        ("schedule", str(spec)),
        ("schedule", str(spec), "--format", "json"),
        ("draw", str(spec), "-o", str(drawing)),
        *(("explain", word, "--in", str(spec)) for word in dict.fromkeys(words)),
    ]
    for command in commands:
        codes[command] = main(list(command))
        out, err = capsys.readouterr()
        said.append((command[0], UNTELLABLE.findall(out), UNTELLABLE.findall(err)))

    assert [one for one in said if one[1] or one[2]] == []
    wrong = {code == 2 for command, code in codes.items() if command[0] != "check"}
    assert len(wrong) == 1
    assert codes[commands[0]] in ((2,) if wrong == {True} else (0, 1))
    assert bool(list(tmp_path.glob("out*.svg"))) == (wrong == {False})


def _answer(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    spec = tmp_path / "spec.yaml"
    spec.write_text(SPECS[name], encoding="utf-8")
    main(["check", str(spec)])
    out, err = capsys.readouterr()
    return out + err


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("a loop of two batteries", "dg-polarity-reversed|dg-short-circuit"),
        ("a run of 1 km, wire given", "dg-implausible|ph-length-plausible|cannot-trip|voltage"),
        ("a load of 1000000000 A", "dg-implausible|20|beyond|rating"),
        ("a bank with nothing on it", "BUS1|B1"),
        ("an array far beyond its controller in a cold that is not", "pv-voc-cold"),
        ("a shore supply of 1 mA", "rt-ocpd-cannot-trip"),
        ("an earth loop of 1 MΩ", "rt-ocpd-cannot-trip"),
    ],
)
def test_the_fault_of_an_extreme_spec_is_named(
    name: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert re.search(words, _answer(name, tmp_path, capsys)) is not None
