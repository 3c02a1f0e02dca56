"""`rigline size --write` puts what was chosen into the file and touches nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

import rigline
from rigline.cli import main

OPEN = """\
rigline: 1
title: Box   # a comment
profile: us-boat
body: plastic
components:
  B1: {kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}
  F1:
    kind: fuse      # block style
    style: blade
  LT1: {kind: dc-load, name: "Lamps, {two}", power: 48 W}
  GND: {kind: chassis, type: engine}
runs:
  - {path: [B1, F1, LT1],
     lengths: [100 mm, 2 m]}   # no id, no wire
  - id: W9
    path: [B1-, GND]
    length: 1 m
    carries: bond
"""


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    path = tmp_path / "box.yaml"
    path.write_text(OPEN, encoding="utf-8")
    return path


def test_without_write_the_file_stays(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["size", str(spec)]) == 0
    assert spec.read_text(encoding="utf-8") == OPEN
    assert "W1: this id for the run at line 13" in capsys.readouterr().out


def test_write_adds_ratings_wires_and_ids_and_keeps_comments(spec: Path) -> None:
    assert main(["size", str(spec), "--write"]) == 0
    written = spec.read_text(encoding="utf-8")

    assert (
        "  - {id: W1, path: [B1, F1, LT1],\n     lengths: [100 mm, 2 m], wire: 16 AWG}   # no id, no wire\n" in written
    )
    assert "  F1:\n    rating: 5 A\n    kind: fuse      # block style\n" in written
    assert "title: Box   # a comment\n" in written


def test_written_sizes_are_what_would_be_chosen_again(spec: Path) -> None:
    before = rigline.study_of(rigline.read(spec))
    main(["size", str(spec), "--write"])
    after = rigline.study_of(rigline.read(spec))

    assert after.sizes.choices == []
    assert [str(one.size) for one in after.segments] == [str(one.size) for one in before.segments]
    assert after.sizes.ratings == before.sizes.ratings


def test_a_second_write_changes_nothing(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["size", str(spec), "--write"])
    written = spec.read_bytes()

    assert main(["size", str(spec), "--write"]) == 0
    assert spec.read_bytes() == written
    assert "nothing was left open" in capsys.readouterr().err


def test_stdin_cannot_be_written_to(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["size", "-", "--write"]) == 2
    assert "needs a file" in capsys.readouterr().err


def test_a_segment_is_derived_step_by_step(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "W1b", "--in", str(spec)]) == 0
    out = capsys.readouterr().out

    assert "4 A: all loads on the batteries" in out
    assert "33 CFR 183.425" in out
    assert "K = 10.75" in out


def test_an_unknown_word_is_said_plainly(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "W77", "--in", str(spec)]) == 2
    assert "W77 is no segment, run or component" in capsys.readouterr().err


def test_the_schedule_is_there_in_every_form(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    heads = {"text": "Wire ", "csv": "Wire,From", "json": "{", "markdown": "| Wire | From"}
    for form, head in heads.items():
        assert main(["schedule", str(spec), "--format", form]) == 0
        assert capsys.readouterr().out.startswith(head)
