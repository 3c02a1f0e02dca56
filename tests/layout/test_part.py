"""A part of a drawing: everything in it, nothing beside it, and a reference at every wire that leads out."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

import rigline
from rigline.drawing.symbols import symbols_of
from rigline.errors import CommandError
from rigline.layout.contract import one_line
from rigline.layout.measure import measure
from rigline.layout.oneline import Judgement, OneLine
from rigline.layout.part import KINDS, REFERENCE_IN, REFERENCE_OUT, kind_part, place_part
from rigline.layout.place import place
from rigline.layout.places import with_places_named
from rigline.layout.plan import SHEET_SIZES
from rigline.layout.poles import both_poles
from rigline.model.system import NEGATIVE, POSITIVE
from rigline.study.study import Study

FOLDER = Path(__file__).parent.parent.parent / "specs"
SPECS = sorted(FOLDER.glob("*.yaml"))
every_spec = pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)


def whole(spec: Path) -> tuple[Study, OneLine]:
    study = rigline.study_of(rigline.read(spec))
    return study, one_line(study)


def segments(line: OneLine, kinds: frozenset[str] | None = None) -> set[str]:
    return {tag.segment for f in line.feeders if kinds is None or f.kind in kinds for tag in f.tags}


def test_a_part_and_a_line_with_places_named_keep_what_their_flags_stand_for() -> None:
    """A danger in a part of the drawing is a danger there too."""
    line = replace(whole(FOLDER / "camper.yaml")[1], judgements={1: Judgement("danger")})
    parts = kind_part(line, KINDS["dc"]), place_part(line, "bench"), with_places_named(line, frozenset({"B1"}))

    assert [part.judgements for part in parts] == [line.judgements] * 3


@every_spec
@pytest.mark.parametrize("show", KINDS)
def test_a_part_has_all_wires_of_its_kind_and_every_other_wire_of_its_stations_is_referred_to(
    spec: Path, show: str
) -> None:
    _, line = whole(spec)
    part = kind_part(line, KINDS[show])
    shown = {station.id for station in part.stations}
    assert segments(part, KINDS[show]) == segments(line, KINDS[show])
    out = {
        tag.segment
        for f in line.feeders
        if f.kind not in KINDS[show]
        for end, tag in ((f.start, f.tags[0]), (f.end, f.tags[-1]))
        if end in shown
    }
    told = " ".join(text for station in part.stations for text in station.lines)
    assert [segment for segment in sorted(out) if segment not in told] == []


@every_spec
def test_places_together_show_every_component_that_has_one_and_no_part_shows_another_place(spec: Path) -> None:
    study, line = whole(spec)
    places = sorted({c.place for c in study.system.components.values() if c.place})
    for name in places:
        part = place_part(line, name)
        stations = {s.id for s in part.stations if s.kind not in (REFERENCE_IN, REFERENCE_OUT)}
        devices = {device.id for feeder in part.feeders for device in feeder.devices}
        wanted = {id for id, component in study.system.components.items() if component.place == name}
        assert stations | devices == wanted


@every_spec
def test_a_place_refers_to_both_ends_of_a_wire_by_the_component_that_is_next(spec: Path) -> None:
    study, line = whole(spec)
    for name in sorted({c.place for c in study.system.components.values() if c.place}):
        for station in place_part(line, name).stations:
            if station.kind in (REFERENCE_IN, REFERENCE_OUT):
                segment_id, word, far = station.lines[0].split(" ")
                segment = study.system.segments_by_id[segment_id]
                assert far in (segment.start.component, segment.end.component)
                assert word == ("from" if station.kind == REFERENCE_IN else "to")
                assert "not shown" in station.lines[1]


@every_spec
@pytest.mark.parametrize("show", KINDS)
def test_a_part_is_drawn_without_faults(spec: Path, show: str) -> None:
    part = kind_part(whole(spec)[1], KINDS[show])
    symbols = symbols_of("iec")
    if part.stations:
        assert measure(place(part, symbols, SHEET_SIZES["a3"]), symbols).faults == ()


@every_spec
def test_each_pole_of_each_pair_is_drawn_once_and_with_its_sign(spec: Path) -> None:
    study, line = whole(spec)
    poles = both_poles(line, study)
    words = " ".join(text for feeder in poles.feeders for tag in feeder.tags for text in tag.lines).split()
    for segment in study.system.segments:
        for conductor in segment.conductors:
            if segment.medium == "dc" and conductor.pole in (POSITIVE, NEGATIVE):
                sign = "+" if conductor.pole == POSITIVE else "−"
                assert words.count(f"{segment.id}{sign}") == 1, conductor.id


@every_spec
def test_shunts_stand_in_the_negative_and_fuses_in_the_positive(spec: Path) -> None:
    study, line = whole(spec)
    for feeder in both_poles(line, study).feeders:
        if feeder.kind == "dc" and feeder.conductors == 1:
            kinds = {device.kind for device in feeder.devices}
            wrong = "fuse" if feeder.tags[0].segment.endswith("−") else "shunt"
            assert wrong not in kinds


@every_spec
def test_poles_are_drawn_without_faults(spec: Path) -> None:
    study, line = whole(spec)
    symbols = symbols_of("ieee")
    plan = place(both_poles(line, study), symbols, SHEET_SIZES["tabloid"])
    assert measure(plan, symbols).faults == ()


def test_the_length_of_a_stretch_that_nobody_measured_is_not_made_up() -> None:
    """A run whose path has one length in all: its pieces are not known, and the sum stands once, at its end."""
    study, line = whole(FOLDER / "trailer.yaml")
    tags = {tag.segment: tag.lines for f in both_poles(line, study).feeders for tag in f.tags}
    assert tags["W5a+"] == ("W5a+ 14 AWG", "RD")
    assert tags["W5b+"] == ("W5b+ 14 AWG", "W5: 4.2 m RD")
    assert tags["W5a−"] == ("W5a− W5b− 14 AWG", "W5: 4.2 m BK")
    assert tags["W1a−"] == ("W1a− W1b− W1c− 1/0 AWG", "850 mm BK")


def test_a_part_that_is_not_there_is_refused_with_what_there_is() -> None:
    with pytest.raises(CommandError, match="give dc, ac, bonds, or a place: front locker, roof"):
        rigline.draw(rigline.read(FOLDER / "trailer.yaml"), show="attic")
    with pytest.raises(CommandError, match="nothing of it"):
        rigline.draw(rigline.read(FOLDER / "lights.yaml"), show="ac")
