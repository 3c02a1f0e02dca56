"""`rigline draw` as a user types it: parts, stages, one sheet, colours, both poles, and the files that come of it."""

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

import rigline
from rigline.cli import main

ROOT = Path(__file__).parent.parent.parent
SVG = "{http://www.w3.org/2000/svg}"
STAGED = """\
rigline: 1
title: Shed in two steps
date: 2026-03-04
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 90 Ah, short-circuit: 1.1 kA, place: box}
  F1: {kind: fuse, style: bolt-down, rating: 40 A, interrupting: 5 kA, place: box}
  GND: {kind: chassis, type: engine}
  BUS1: {kind: fuse-block, rating: 90 A}
  FA: {kind: fuse, style: blade, rating: 5 A}
  LT1: {kind: dc-load, name: Lamps, power: 24 W}
  FB: {kind: fuse, style: blade, stage: 2}
  PU1: {kind: motor, name: Pump, power: 70 W, stage: 2}
runs:
  - {id: W1, path: [B1, F1, BUS1], lengths: [0.1 m, 0.4 m], wire: 8 AWG}
  - {id: W2, path: [BUS1, FA, LT1], lengths: [0 m, 2.5 m], wire: 16 AWG}
  - {id: W4, path: [BUS1-, GND], length: 1 m, carries: bond, wire: 6 AWG}
  - {id: W3, path: [BUS1, FB, PU1], lengths: [0 m, 3.5 m], wire: 14 AWG}
revisions:
  - {revision: B, date: 2026-03-04, by: T. R., change: Pump planned}
"""


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    path = tmp_path / "shed.yaml"
    path.write_text(STAGED, encoding="utf-8")
    return path


def group(svg: str, name: str) -> ElementTree.Element:
    """The group of a component or wire."""
    found = [
        g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("data-id") == name and g.get("class") != "run"
    ]
    assert len(found) == 1
    return found[0]


def is_dashed(svg: str, name: str) -> bool:
    return any(stroke.get("stroke-dasharray") for stroke in group(svg, name))


def words(svg: str) -> str:
    return " ".join("".join(text.itertext()) for text in ElementTree.fromstring(svg).iter(f"{SVG}text"))


def drawn(spec: Path, *options: str) -> str:
    """The SVG that a command writes."""
    out = spec.with_name("out.svg")
    assert main(["draw", str(spec), "-o", str(out), *options]) == 0
    return out.read_text(encoding="utf-8")


def test_at_a_stage_what_is_built_later_is_dashed(spec: Path) -> None:
    first, second, whole = (drawn(spec, *options) for options in (["--stage", "1"], ["--stage", "2"], []))
    assert [is_dashed(first, name) for name in ("PU1", "FB", "W3a", "W3b")] == [True] * 4
    assert [is_dashed(first, name) for name in ("LT1", "FA", "W2a", "BUS1")] == [False] * 4
    assert [is_dashed(svg, name) for svg in (second, whole) for name in ("PU1", "FB", "W3a")] == [False] * 6
    assert "Stage 1" in words(first)


def test_a_stage_is_checked_by_itself_and_drawn_with_its_own_findings(spec: Path) -> None:
    spec.write_text(
        STAGED.replace("{kind: fuse, style: blade, stage: 2}", "{kind: fuse, style: blade, rating: 40 A, stage: 2}")
    )
    assert 'class="flag"' in drawn(spec, "--stage", "2", "--sheet-number", "1")
    assert 'class="flag"' not in drawn(spec, "--stage", "1")


def test_a_place_shows_what_stands_in_it_and_where_its_wires_lead(spec: Path) -> None:
    svg = drawn(spec, "--show", "BOX")
    assert "W1b to BUS1" in words(svg)
    assert "not shown" in words(svg)
    assert [g.get("data-id") for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("class") == "component"] == [
        "B1",
        "F1",
    ]


def test_both_poles_have_a_wire_each(spec: Path) -> None:
    svg = drawn(spec, "--poles")
    assert group(svg, "W2a+").get("data-run") == group(svg, "W2a−").get("data-run") == "W2"
    assert "Both poles" in words(svg)


def test_colour_is_drawn_only_when_asked_for(spec: Path) -> None:
    def inks(svg: str) -> set[str]:
        wires = (g for g in ElementTree.fromstring(svg).iter(f"{SVG}g") if g.get("class") == "wire")
        return {stroke.get("stroke", "") for wire in wires for stroke in wire.iter(f"{SVG}path")} - {""}

    assert inks(drawn(spec)) == {"black"}
    assert inks(drawn(spec, "--color", "on")) == {"#C00000", "#00703C"}


def test_the_symbols_can_be_those_of_the_other_standard(spec: Path) -> None:
    usual, iec, ieee = (drawn(spec, *options) for options in ([], ["--symbols", "iec"], ["--symbols", "ieee"]))
    assert usual == ieee != iec


def test_one_sheet_of_several_is_written_by_its_number(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    boat = str(ROOT / "specs" / "boat.yaml")
    out = tmp_path / "boat.svg"
    assert main(["draw", boat, "-o", str(out), "--sheet-number", "2"]) == 0
    assert out.read_text(encoding="utf-8") == rigline.draw(rigline.read(boat)).svgs[1]
    assert main(["draw", boat, "-o", str(out), "--sheet-number", "9"]) == 2
    assert "there is no sheet 9: the drawing has 2" in capsys.readouterr().err


def test_a_file_of_all_sheets_has_bookmarks_links_a_title_and_the_day_of_the_spec(tmp_path: Path) -> None:
    out = tmp_path / "boat.pdf"
    assert main(["draw", str(ROOT / "specs" / "boat.yaml"), "-o", str(out)]) == 0
    content = out.read_bytes()
    reader = PdfReader(io.BytesIO(content))
    assert main(["draw", str(ROOT / "specs" / "boat.yaml"), "-o", str(out)]) == 0
    assert out.read_bytes() == content
    assert reader.metadata is not None
    assert (reader.metadata.title, reader.metadata.creation_date_raw) == (
        "Day boat with inboard engine",
        "D:20261120000000Z",
    )
    assert len(reader.pages) == 2
    assert all(page.get("/Annots") for page in reader.pages)
    titles = [
        str(mark.title)
        for below in reader.outline
        if isinstance(below, list)
        for mark in below
        if not isinstance(mark, list)
    ]
    components = rigline.read(ROOT / "specs" / "boat.yaml").components
    assert {title.split(",")[0] for title in titles} == set(components)


def test_revisions_are_a_table_on_the_sheet(spec: Path) -> None:
    assert "Revisions B 2026-03-04 Pump planned (T. R.)" in words(drawn(spec))


def test_a_run_is_a_group_with_the_numbers_of_its_stretches(spec: Path) -> None:
    runs = [g for g in ElementTree.fromstring(drawn(spec)).iter(f"{SVG}g") if g.get("class") == "run"]
    assert {run.get("id") for run in runs} == {"run-W1", "run-W2", "run-W3", "run-W4"}
    for run in runs:
        title = run.find(f"{SVG}title")
        assert title is not None
        assert (run.get("role"), run.get("aria-label")) == ("img", title.text)
        assert [g.get("data-run") for g in run.iter(f"{SVG}g") if g.get("class") == "wire"] == [run.get("data-run")] * (
            1 if run.get("data-run") == "W4" else 2
        )
        assert "AWG" in str(title.text)
