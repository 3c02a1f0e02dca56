"""`rigline draw --check`: a drawing kept beside its spec says when the spec has moved on, and nothing is written."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

import rigline
from rigline.cli import main
from rigline.drawing.description import descriptions

FORMS = ("svg", "pdf", "png", "html")
SPEC = """\
rigline: 1
title: Hut light
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1: {kind: fuse, style: blade, rating: 15 A}
  LT1: {kind: dc-load, name: Lamps, power: 48 W}
  GND: {kind: chassis, type: engine}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 14 AWG}
  - {id: W2, path: [B1-, GND], length: 1 m, carries: bond, wire: 8 AWG}
"""


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """A spec in a folder whose name has a space and an umlaut, drawn in every form."""
    folder = tmp_path / "Hütte am See"
    folder.mkdir()
    path = folder / "hut.yaml"
    path.write_text(SPEC, encoding="utf-8")
    assert main(["draw", str(path), *outputs(path)]) == 0
    return path


def outputs(spec: Path, *forms: str) -> list[str]:
    """The -o options for drawings beside a spec."""
    return [word for form in forms or FORMS for word in ("-o", str(spec.with_suffix(f".{form}")))]


def state(folder: Path) -> dict[str, bytes]:
    """Everything in a folder."""
    return {file.name: file.read_bytes() for file in folder.iterdir()}


def test_a_drawing_of_the_spec_as_it_is_passes_in_every_form(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = state(spec.parent)
    capsys.readouterr()

    assert main(["draw", str(spec), *outputs(spec), "--check"]) == 0
    assert capsys.readouterr().out == ""
    assert state(spec.parent) == before


@pytest.mark.parametrize("form", FORMS)
def test_a_changed_spec_makes_each_form_stale(spec: Path, form: str, capsys: pytest.CaptureFixture[str]) -> None:
    spec.write_text(SPEC.replace("48 W", "36 W"), encoding="utf-8")
    before = state(spec.parent)

    assert main(["draw", str(spec), *outputs(spec, form), "--check"]) == 1
    assert f"hut.{form}: stale" in capsys.readouterr().err
    assert state(spec.parent) == before


def test_a_missing_drawing_counts_as_stale(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec.with_suffix(".pdf").unlink()

    assert main(["draw", str(spec), *outputs(spec), "--check"]) == 1
    assert "hut.pdf: missing" in capsys.readouterr().err


def test_a_checkout_that_ends_lines_in_two_characters_makes_nothing_stale(spec: Path) -> None:
    spec.write_bytes(SPEC.replace("\n", "\r\n").encode())

    assert main(["draw", str(spec), *outputs(spec), "--check"]) == 0


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("content", [b"", b"no drawing at all", b"%PDF-1.7 cut off", b"\x89PNG\r\n\x1a\n\x00"])
def test_a_file_that_is_no_drawing_counts_as_stale(
    spec: Path, form: str, content: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    spec.with_suffix(f".{form}").write_bytes(content)

    assert main(["draw", str(spec), *outputs(spec, form), "--check"]) == 1
    assert "says no spec hash" in capsys.readouterr().err


def test_every_sheet_of_a_drawing_must_be_there(
    in_project: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Sheets are numbered files in SVG and PNG; how many there are stands on each."""
    arguments = ["draw", "specs/boat.yaml", "-o", str(tmp_path / "boat.svg")]
    assert main(arguments) == 0
    assert main([*arguments, "--check"]) == 0
    (tmp_path / "boat-2.svg").unlink()

    assert main([*arguments, "--check"]) == 1
    assert "boat-2.svg: missing" in capsys.readouterr().err


def test_a_changed_parts_file_makes_a_drawing_stale(tmp_path: Path) -> None:
    """The drawing is made from the parts file as much as from the spec."""
    spec, parts = tmp_path / "hut.yaml", tmp_path / "mine.yaml"
    parts.write_text("parts: {LAMP: {kind: dc-load, name: Lamps, power: 48 W}}\n", encoding="utf-8")
    text = SPEC.replace("{kind: dc-load, name: Lamps, power: 48 W}", "{part: LAMP}")
    spec.write_text(text.replace("rigline: 1\n", "rigline: 1\nparts: [mine.yaml]\n"), encoding="utf-8")
    arguments = ["draw", str(spec), "-o", str(tmp_path / "hut.svg")]
    assert main(arguments) == 0
    assert main([*arguments, "--check"]) == 0
    parts.write_text("parts: {LAMP: {kind: dc-load, name: Lamps, power: 60 W}}\n", encoding="utf-8")

    assert main([*arguments, "--check"]) == 1


@pytest.mark.parametrize("more", [[], ["--sheet-number", "1", "-o", "hut.svg"]], ids=["no file", "one sheet only"])
def test_a_check_without_files_or_of_one_sheet_is_refused(
    spec: Path, more: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["draw", str(spec), "--check", *more]) == 2
    assert "--check looks at" in capsys.readouterr().err


def test_a_wrong_spec_cannot_tell_whether_its_drawing_is_stale(spec: Path) -> None:
    spec.write_text(SPEC.replace("kind: fuse", "kind: fuze"), encoding="utf-8")

    assert main(["draw", str(spec), *outputs(spec), "--check"]) == 2


def test_the_hash_in_a_file_is_that_in_the_title_block(spec: Path) -> None:
    svg = spec.with_suffix(".svg").read_text(encoding="utf-8")
    digits = rigline.read(spec).digest[:12]

    assert f">hut.yaml {digits}</text>" in svg
    for form in FORMS:
        assert [
            f"Spec hash {digits}." in text for text in descriptions(spec.with_suffix(f".{form}").read_bytes(), form)
        ] == [True]


def test_another_library_reads_the_description_of_a_picture(spec: Path) -> None:
    """Checked by Pillow, which refuses a chunk whose checksum is wrong (W3C PNG, 5.3)."""
    content = spec.with_suffix(".png").read_bytes()
    with Image.open(io.BytesIO(content)) as picture:
        picture.load()
        text = getattr(picture, "text", {})

    assert text["Description"] == descriptions(content, "png")[0]
