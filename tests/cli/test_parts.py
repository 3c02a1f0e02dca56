"""`rigline parts` as a user types it: four forms, 80 columns, and cells that a spreadsheet leaves alone."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from rigline.cli import main
from rigline.outputs.cells import harmless

SPECS = sorted((Path(__file__).parent.parent.parent / "specs").glob("*.yaml"))
EVIL = """\
rigline: 1
title: "=1+1 <script>"
profile: us-boat
components:
  B1: {kind: battery, voltage: 12 V, stud: M8}
  LT1: {kind: dc-load, name: "=HYPERLINK(1) | <b>lamp</b>", power: 20 W}
runs:
  - {id: W1, path: [B1, LT1], length: 1 m, wire: 14 AWG}
"""


@pytest.fixture
def evil(tmp_path: Path) -> str:
    """A spec whose texts would do harm elsewhere."""
    path = tmp_path / "evil.yaml"
    path.write_text(EVIL, encoding="utf-8")
    return str(path)


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command that ends well puts on stdout."""
    assert main(["parts", *arguments]) == 0
    return capsys.readouterr().out


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_the_lists_fit_80_columns_and_end_with_the_cautions(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = printed(capsys, str(spec)).splitlines()

    assert [line for line in lines if len(line) > 80] == []
    assert sum(line.startswith("Caution: ") for line in lines) == 4


def test_no_cell_of_the_csv_begins_like_a_formula(evil: str, capsys: pytest.CaptureFixture[str]) -> None:
    rows = list(csv.reader(io.StringIO(printed(capsys, evil, "--format", "csv"))))

    assert rows[0] == ["List", "State", "Count", "What", "For", "Note"]
    assert [cell for row in rows for cell in row if cell[:1] in ("=", "+", "-", "@")] == []
    assert ["Components", "need", "1", "'=HYPERLINK(1) | <b>lamp</b>, 20 W", "LT1", ""] in rows


@pytest.mark.parametrize("cell", ["=1", "+1", "-1", "@x", "\tx", "\rx"])
def test_a_formula_is_made_harmless(cell: str) -> None:
    assert harmless(cell) == f"'{cell}"


def test_names_are_text_in_markdown(evil: str, capsys: pytest.CaptureFixture[str]) -> None:
    page = printed(capsys, evil, "--format", "markdown")

    assert "<b>" not in page and "<script>" not in page
    assert r"\| \<b\>lamp" in page
    assert "## Cautions" in page


def test_json_has_every_list_with_numbers(capsys: pytest.CaptureFixture[str]) -> None:
    spec = next(spec for spec in SPECS if spec.stem == "trailer")
    found = json.loads(printed(capsys, str(spec), "--format", "json"))

    assert set(found) == {
        "spec", "title", "revision", "profile", "stage", "first", "questions", "components", "wire", "lugs",
        "open_lugs", "fittings", "fuses", "routing", "cuts", "tools", "mass", "price",
    }  # fmt: skip
    first = next(piece for piece in found["cuts"] if piece["id"] == "W1a+")
    assert (first["wire"], first["length_m"], first["cut_m"]) == ("1/0 AWG", 0.15, 0.15)
    assert (first["start"]["fitting"], first["start"]["stud"]) == ("lug for M8", "M8")
    states = {id: group["state"] for group in found["components"] for id in group["for"]}
    assert (states["B1"], states["INV1"], states["F1"]) == ("have", "ordered", "need")
    assert found["price"]["totals"] == {"EUR": 420.0}


def test_a_stage_can_be_ordered(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = tmp_path / "box.yaml"
    spec.write_text(EVIL.replace("power: 20 W}", "power: 20 W, stage: 2}"), encoding="utf-8")

    assert "stage 1" in printed(capsys, str(spec), "--stage", "1")
    assert "W1+" not in printed(capsys, str(spec), "--stage", "1")
    assert "W1+" in printed(capsys, str(spec), "--stage", "2")


def test_a_wrong_spec_prints_no_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = tmp_path / "wrong.yaml"
    spec.write_text("rigline: 1\n", encoding="utf-8")

    assert main(["parts", str(spec)]) == 2
    assert capsys.readouterr().out == ""


def test_lengths_are_told_in_the_author_s_units(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = tmp_path / "feet.yaml"
    spec.write_text(EVIL.replace("length: 1 m", "length: 10 ft"), encoding="utf-8")

    assert "14 AWG red, 10 ft, cut 11 ft" in printed(capsys, str(spec))
    spec.write_text(EVIL.replace("length: 1 m", "length: 7 in"), encoding="utf-8")
    assert "14 AWG red, 7 in" in printed(capsys, str(spec))
