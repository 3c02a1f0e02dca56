"""Lengths, masses and temperatures of air are told in the user's own units, by every command, and in one system."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

import rigline
from rigline.cli import main
from rigline.units import parse_amount

SPEC = """\
rigline: 1
title: Boat in two systems
profile: us-boat
body: plastic
places:
  locker: {min: MINUS, max: HEAT}
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 100 Ah, short-circuit: 2 kA, place: locker,
       bms: {charge-disable: true, low-temperature: -20 °C}, mass: MASS, stud: [M8]}
  F1: {kind: fuse, style: class-t, rating: 40 A, stud: [M8]}
  SC1: {kind: charge-controller, output: 20 A, max-input: 50 V, absorb: 14.4 V}
  PV1: {kind: pv-array, pmax: 200 W, vmp: 30 V, imp: 6.6 A, voc: 36 V, isc: 7 A}
  LT1: {kind: dc-load, power: 20 W, use: 4 h/day}
  GND: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [TO-FUSE, TO-LAMP], wire: 8 AWG}
  - {id: W2, path: [PV1, SC1.pv], length: TO-ROOF, wire: 10 AWG}
  - {id: W3, path: [SC1.battery, F1.out], length: TO-FUSE, wire: 8 AWG}
  - {id: W4, path: [B1-, GND], length: TO-FUSE, carries: bond, wire: 8 AWG}
conditions: {latitude: 40°, coldest: MINUS, autonomy: 2 days}
"""
METRIC = {"MINUS": "-10 °C", "HEAT": "50 °C", "MASS": "12 kg", "TO-FUSE": "1.5 m", "TO-LAMP": "4 m", "TO-ROOF": "6 m"}
US = {"MINUS": "14 °F", "HEAT": "122 °F", "MASS": "26 lb", "TO-FUSE": "5 ft", "TO-LAMP": "13 ft", "TO-ROOF": "20 ft"}
METRIC_WORDS = re.compile(r"(?<![\w/])\d[\d.]* (?:m|kg)(?![\w²/])")
"""A length of some size, or a mass. Diameters, studs and copper are sold in mm and mm² everywhere."""
US_WORDS = re.compile(r"(?<![\w/])\d[\d.]* (?:ft|lb|°F)(?!\w)")
COMMANDS = (["check"], ["schedule"], ["parts"], ["energy"], ["notes"], ["explain", "W1", "--in"])
SOLD_OR_RULED = re.compile(
    r"exceptions to 72 in|\[.\].*|\| ☐ \|.* needed.*|heat shrink [^|]*|\(\d[\d.]* (?:ft|m) needed.*|Rule:.*\n.*"
)
"""Lengths of drums and rules as they are printed in their country."""


def written(folder: Path, units: dict[str, str]) -> Path:
    text = SPEC
    for name, amount in units.items():
        text = text.replace(name, amount)
    path = folder / "boat.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def said(capsys: pytest.CaptureFixture[str], spec: Path, command: list[str], *options: str) -> str:
    main([*command, str(spec), *options])
    return SOLD_OR_RULED.sub("", capsys.readouterr().out)


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
@pytest.mark.parametrize("given", ["metric", "us"])
@pytest.mark.parametrize("asked", ["metric", "us"])
def test_every_command_tells_everything_in_the_units_that_were_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], command: list[str], given: str, asked: str
) -> None:
    spec = written(tmp_path, METRIC if given == "metric" else US)
    text = said(capsys, spec, command, "--units", asked)

    assert (US_WORDS if asked == "metric" else METRIC_WORDS).findall(text) == []
    if command != ["energy"]:
        assert (METRIC_WORDS if asked == "metric" else US_WORDS).findall(text) != []


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
@pytest.mark.parametrize(("given", "foreign"), [(METRIC, US_WORDS), (US, METRIC_WORDS)], ids=["metric", "us"])
def test_without_being_asked_every_command_keeps_to_the_author_s_units(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    command: list[str],
    given: dict[str, str],
    foreign: re.Pattern[str],
) -> None:
    assert foreign.findall(said(capsys, written(tmp_path, given), command)) == []


def test_the_author_s_own_words_stand_in_the_schedule_as_they_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec = written(tmp_path, US | {"TO-FUSE": "5 ft 3 in"})

    assert "  5 ft 3 in  " in said(capsys, spec, ["schedule"])
    assert "  1.6 m  " in said(capsys, spec, ["schedule"], "--units", "metric")


def test_a_drawing_and_a_page_tell_lengths_in_the_units_that_were_asked_for(tmp_path: Path) -> None:
    system = rigline.read(written(tmp_path, METRIC), units="us")
    drawing = rigline.draw(system)
    texts = re.findall(r">([^<>]*)<", "".join(drawing.svgs))

    assert [text for text in texts if METRIC_WORDS.search(text)] == []
    assert "4.92 ft" in " ".join(texts)
    assert "4.92 ft" in drawing.files("boat.html", "html")["boat.html"].decode()


def test_a_finding_tells_the_distance_that_its_rule_is_about(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """33 CFR 183.455(b): 7 inches from the battery; 5 ft are 60 inches."""
    text = " ".join(said(capsys, written(tmp_path, US), ["check"]).split())

    assert "F1 stands 60 in from B1 along W1 (not sheathed); at most 7.008 in." in text


def test_numbers_for_programs_stay_in_their_one_unit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """JSON names the unit in the key; it does not depend on who reads the text beside it."""
    found = []
    for asked in ("metric", "us"):
        main(["schedule", str(written(tmp_path, METRIC)), "--format", "json", "--units", asked])
        found.append(json.loads(capsys.readouterr().out))

    assert [one["length_m"] for one in found[0]["segments"]] == [1.5, 4.0, 6.0, 1.5, 1.5]
    assert found[1] == found[0]


@pytest.mark.parametrize(
    ("text", "suffix"), [("7 in", "m"), ("13 ft", "m"), ("26 lb", "kg"), ("14 °F", "c"), ("2 in", "mm")]
)
def test_what_is_told_in_us_units_can_be_written_in_a_spec(text: str, suffix: str) -> None:
    from rigline.unit_system import shown_in
    from rigline.units import format_amount

    with shown_in("us"):
        shown = format_amount(parse_amount(text, suffix), suffix)
    assert shown == text
