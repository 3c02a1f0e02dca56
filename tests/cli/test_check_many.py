"""`rigline check` on many specs: every report, one verdict, and a wrong spec that keeps no other from being checked."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from rigline.cli import main

SPEC = """\
rigline: 1
title: Box {name}
profile: us-boat
body: plastic
components:
  B1: {{kind: battery, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}}
  F1: {{kind: fuse, style: blade, rating: {rating} A}}
  LT1: {{kind: dc-load, name: Lamps, power: 48 W}}
  GND: {{kind: chassis, type: engine}}
runs:
  - {{id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 14 AWG}}
  - {{id: W2, path: [B1-, GND], length: 1 m, carries: bond, wire: 8 AWG}}
"""


@pytest.fixture
def specs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Six specs in the current folder; the third has a fuse that is far too large."""
    monkeypatch.chdir(tmp_path)
    names = [f"{letter}.yaml" for letter in "abcdef"]
    for name in names:
        rating = 70 if name == "c.yaml" else 15
        (tmp_path / name).write_text(SPEC.format(name=name, rating=rating), encoding="utf-8")
    return names


@pytest.mark.parametrize("count", [2, 6], ids=["one after the other", "in processes of their own"])
def test_every_report_is_printed_in_order_with_a_line_for_each(
    specs: list[str], count: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", *specs[:count]]) == (1 if count > 2 else 0)
    captured = capsys.readouterr()
    heads = [line for line in captured.out.splitlines() if ": Box " in line]
    ends = captured.out.splitlines()[-count:]
    assert [head.partition(":")[0] for head in heads] == specs[:count]
    assert [end.partition(":")[0] for end in ends] == specs[:count]
    assert all("dangers" in end or "danger," in end for end in ends)
    assert captured.err == ""


def test_one_spec_is_one_object_and_many_are_an_array(specs: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", "--format", "json", specs[0]])
    one = json.loads(capsys.readouterr().out)
    main(["check", "--format", "json", *specs[:3]])
    many = json.loads(capsys.readouterr().out)
    assert one == many[0]
    assert [report["spec"] for report in many] == specs[:3]
    assert [report["counts"]["danger"] > 0 for report in many] == [False, False, True]


@pytest.mark.parametrize("count", [3, 6])
def test_a_wrong_spec_is_told_of_and_the_others_are_reported(
    specs: list[str], count: int, capsys: pytest.CaptureFixture[str]
) -> None:
    Path(specs[1]).write_text(SPEC.format(name="b", rating=15).replace("kind: fuse", "kind: fuze"), encoding="utf-8")
    assert main(["check", *specs[:count]]) == 2
    captured = capsys.readouterr()
    assert "b.yaml:7" in captured.err
    assert "did you mean fuse?" in captured.err
    assert captured.err.endswith(f"1 of {count} specs could not be checked.\n")
    assert "b.yaml: not checked" in captured.out
    assert captured.out.count("CHECKED: ") == count - 1


def test_a_missing_file_is_told_of_in_the_array_too(specs: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--format", "json", specs[0], "nothing.yaml"]) == 2
    first, second = json.loads(capsys.readouterr().out)
    assert (first["spec"], first["counts"]["danger"]) == (specs[0], 0)
    assert second["spec"] == "nothing.yaml"
    assert ["nothing.yaml: " in problem for problem in second["problems"]] == [True]


def test_the_same_specs_give_the_same_bytes(specs: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """Processes finish in any order; the reports stand in the order asked for."""
    main(["check", "--format", "sarif", *specs])
    first = capsys.readouterr().out
    main(["check", "--format", "sarif", *specs])
    assert capsys.readouterr().out == first


def test_stdin_can_be_read_once(specs: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "-", "-"]) == 2
    assert "only once" in capsys.readouterr().err


class Terminal(io.StringIO):
    """A terminal that keeps what is written."""

    def isatty(self) -> bool:
        return True


def test_a_terminal_shows_how_far_it_is(
    specs: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The count is wiped at the end, so that it does not stand among the reports."""
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    main(["check", *specs[:2]])
    assert terminal.getvalue() == "\r1 of 2 checked\r2 of 2 checked\r\x1b[K"
    assert "checked\r" not in capsys.readouterr().out


def test_the_library_for_colours_is_left_alone_without_a_terminal(specs: list[str]) -> None:
    """A report into a file or a pipe must not wait for what it does not use."""
    code = "import sys; from rigline.cli import main; main(sys.argv[1:]); print('rich' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code, "check", specs[0]], capture_output=True, text=True, check=True
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == "False"


def test_a_pattern_that_the_shell_left_alone_names_its_files_in_order(
    specs: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """Some consoles hand patterns to the program as they are."""
    assert main(["check", "--format", "json", "[a-c].yaml"]) == 1
    assert [report["spec"] for report in json.loads(capsys.readouterr().out)] == specs[:3]


def test_a_pattern_of_no_file_is_said_plainly(specs: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", specs[0], "boats/*.yaml"]) == 2
    captured = capsys.readouterr()
    assert captured.err == (
        "rigline: boats/*.yaml: no file has a name like this; name the specs, or look in which folder you are\n"
    )
    assert captured.out == ""


def test_a_file_whose_name_looks_like_a_pattern_is_that_file(
    specs: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    Path(specs[0]).rename("box [old].yaml")
    assert main(["check", "--format", "json", "box [old].yaml"]) == 0
    assert json.loads(capsys.readouterr().out)["spec"] == "box [old].yaml"


@pytest.mark.parametrize(
    ("limit", "found", "code"),
    [
        ("danger", "danger", 1), ("danger", "question", 0), ("fault", "danger", 1), ("fault", "question", 0),
        ("question", "question", 1), ("advice", "question", 1), ("advice", "danger", 1),
    ],
)  # fmt: skip
def test_the_exit_code_follows_the_worst_finding_and_the_limit(
    specs: list[str], limit: str, found: str, code: int
) -> None:
    """A fuse of 70 A is a danger; a fuse whose rating nobody knows raises a question and nothing worse."""
    rating = "70 A" if found == "danger" else "unknown"
    text = SPEC.format(name="x", rating=15).replace("rating: 15 A", f"rating: {rating}")
    Path(specs[0]).write_text(text, encoding="utf-8")
    assert main(["check", "--fail-on", limit, specs[0]]) == code
