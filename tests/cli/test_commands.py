"""The commands as a user types them: what goes to stdout and stderr, the exit codes, and what happens to files."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from rigline.cli import main

TINY = """\
rigline: 1
title: Box
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
    """A small sound spec on disk."""
    path = tmp_path / "box.yaml"
    path.write_text(TINY, encoding="utf-8")
    return path


def test_a_sound_spec_ends_with_0(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(spec)]) == 0
    assert "0 dangers, 0 faults" in capsys.readouterr().out


def test_an_oversized_fuse_ends_with_1_and_names_the_line(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec.write_text(TINY.replace("rating: 15 A", "rating: 70 A"), encoding="utf-8")

    assert main(["check", str(spec)]) == 1
    out = capsys.readouterr().out
    assert "rt-ocpd-over-conductor" in out
    assert "box.yaml:7" in out


def test_what_counts_as_failure_can_be_chosen(spec: Path) -> None:
    spec.write_text(TINY.replace("rating: 15 A", "rating: unknown"), encoding="utf-8")

    assert main(["check", str(spec), "--fail-on", "danger"]) == 0


def test_the_json_report_has_the_contract_s_keys(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec.write_text(TINY.replace("rating: 15 A", "rating: 70 A"), encoding="utf-8")
    main(["check", str(spec), "--format", "json"])
    report = json.loads(capsys.readouterr().out)

    assert {"spec", "title", "revision", "profile", "stage", "findings", "not_assessed", "counts", "rules_run"} == set(
        report
    )
    finding = next(f for f in report["findings"] if f["rule"] == "rt-ocpd-over-conductor")
    assert (finding["at"], finding["runs"], finding["found"], finding["unit"]) == (["F1"], ["W1"], 70, "A")
    assert (finding["line"], finding["severity"]) == (7, "danger")
    assert set(report["counts"]) == {"danger", "fault", "question", "advice"}


def test_the_json_schedule_has_the_contract_s_keys(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["schedule", str(spec), "--format", "json"])
    schedule = json.loads(capsys.readouterr().out)

    first = schedule["segments"][0]
    assert {"id", "run", "from", "to", "carries", "wire", "sized", "length_m", "current_a", "charge_current_a",
            "ampacity_a", "drop_v", "drop_percent", "fault_current_a", "protected_by",
            "stud"} <= set(first)  # fmt: skip
    assert (first["id"], first["from"], first["to"], first["carries"], first["wire"]) == (
        "W1a",
        "B1",
        "F1",
        "pair",
        "14 AWG",
    )
    lamp = next(node for node in schedule["nodes"] if node["id"] == "LT1")
    # CM = K x I x L / E, K = 10.75 (small-boat practice): 10.75 x 13.78 ft (out and back) / 4107 cmil = 0.03607 ohm.
    # The lamp draws its 48 W from a nearly empty battery: 10.5 V behind 12 V / 800 A = 0.015 ohm, so 4.68 A: 0.1688 V.
    assert lamp["drop_percent_from_source"] == pytest.approx(100 * 0.1688 / 12, abs=0.005)


def test_a_wrong_spec_ends_with_2_and_leaves_an_old_drawing_as_it_was(
    spec: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = tmp_path / "box.svg"
    drawing.write_text("old", encoding="utf-8")
    spec.write_text(TINY.replace("kind: fuse", "kind: fuze"), encoding="utf-8")

    assert main(["draw", str(spec), "-o", str(drawing)]) == 2
    assert drawing.read_text(encoding="utf-8") == "old"
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "did you mean fuse?" in captured.err
    assert sorted(path.name for path in tmp_path.iterdir()) == ["box.svg", "box.yaml"]


@pytest.mark.parametrize("name", ["box.gif", "box", "no-such-folder/box.svg"])
def test_an_output_that_cannot_be_written_is_said_plainly(
    spec: Path, tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["draw", str(spec), "-o", str(tmp_path / name)]) == 2
    assert "Traceback" not in capsys.readouterr().err
    assert sorted(path.name for path in tmp_path.iterdir()) == ["box.yaml"]


def test_a_folder_is_not_overwritten(spec: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "box.svg").mkdir()

    assert main(["draw", str(spec), "-o", str(tmp_path / "box.svg")]) == 2
    assert "folder" in capsys.readouterr().err


def test_a_missing_file_is_said_plainly(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path / "nothing.yaml")]) == 2
    assert "nothing.yaml" in capsys.readouterr().err


def test_svg_goes_to_stdout_and_talk_to_stderr(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draw", str(spec)]) == 0
    captured = capsys.readouterr()
    assert captured.out.startswith("<svg")
    assert "no danger" in captured.err


def test_several_forms_are_written_at_once(spec: Path, tmp_path: Path) -> None:
    outputs = [str(tmp_path / f"box.{form}") for form in ("svg", "pdf", "png")]

    assert main(["draw", str(spec), *[word for output in outputs for word in ("-o", output)]]) == 0
    heads = [Path(output).read_bytes()[:5] for output in outputs]
    assert heads == [b"<svg ", b"%PDF-", b"\x89PNG\r"]


def test_the_same_spec_gives_the_same_bytes_whatever_the_hash_seed(spec: Path) -> None:
    made = [
        subprocess.run(
            [sys.executable, "-m", "rigline", "draw", str(spec)], capture_output=True, check=True,
            env={"PYTHONHASHSEED": seed, "PATH": "/usr/bin:/bin"},
        ).stdout
        for seed in ("1", "2")
    ]  # fmt: skip
    assert made[0] == made[1]


def test_a_stage_is_a_number_or_later(spec: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(spec), "--stage", "soon"]) == 2
    assert "--stage is a number or later" in capsys.readouterr().err


def test_drawing_does_not_load_what_only_pdf_needs(spec: Path) -> None:
    code = (
        "import sys, rigline.cli as c; c.main(['draw', sys.argv[1]]); print('cairosvg' in sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, str(spec)], capture_output=True, text=True, check=True)

    assert done.stderr.splitlines()[-1] == "False"
