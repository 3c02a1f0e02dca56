"""Files that want to hurt: devices, pipes, links, full disks, and names that are commands to a terminal or spreadsheet.

Each gets an answer in words and the exit code 2; whatever was there before is as it was.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import threading
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from rigline.cli import main
from rigline.errors import CommandError
from rigline.outputs.files import write_files

SPEC = """\
rigline: 1
title: {name}
profile: us-boat
body: plastic
components:
  B1: {{kind: battery, name: {name}, chemistry: agm, voltage: 12 V, capacity: 60 Ah, short-circuit: 800 A}}
  F1: {{kind: fuse, style: blade, rating: 15 A}}
  LT1: {{kind: dc-load, name: {name}, power: 48 W, use: 3 h/day}}
runs:
  - {{id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 14 AWG, note: {name}}}
"""
CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def _spec(folder: Path, name: str = "Box", file: str = "box.yaml") -> Path:
    path = folder / file
    path.write_text(SPEC.format(name=name), encoding="utf-8")
    return path


def _said(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = main(list(arguments))
    return (code, *capsys.readouterr())


# -- what is read -----------------------------------------------------------------------------------------------------


def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    code, out, err = _said(capsys, "check", str(tmp_path / "pipe.yaml"))
    assert (code, out, err) == (2, "", f"rigline: {tmp_path}/pipe.yaml: can't be read: not an ordinary file\n")


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/null", "/dev/random"])
def test_a_device_is_refused_by_whatever_name(device: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "box.yaml").symlink_to(device)
    code, _, err = _said(capsys, "draw", str(tmp_path / "box.yaml"))
    assert (code, err.endswith("can't be read: not an ordinary file\n")) == (2, True)


def test_a_file_of_100_mb_is_refused_by_its_size(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = tmp_path / "huge.yaml"
    with spec.open("wb") as file:
        file.truncate(100_000_000)
    code, _, err = _said(capsys, "check", str(spec))
    assert (code, "a spec has at most" in err) == (2, True)


@pytest.mark.parametrize("name", ["pipe.yaml", "zero.yaml", "../box.yaml", "/etc/hostname.yaml", "link.yaml", "."])
def test_a_parts_file_is_an_ordinary_file_of_the_folder(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    os.mkfifo(folder / "pipe.yaml")
    (folder / "zero.yaml").symlink_to("/dev/zero")
    (folder / "link.yaml").symlink_to(_spec(tmp_path, "Elsewhere"))
    spec = _spec(folder)
    spec.write_text(f"{spec.read_text()}parts: ['{name}']\n", encoding="utf-8")
    code, out, err = _said(capsys, "check", str(spec))
    assert (code, out, err.startswith(f"{spec}:")) == (2, "", True)


def test_a_year_of_sun_from_a_pipe_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    os.mkfifo(tmp_path / "sun.csv")
    code, _, err = _said(capsys, "energy", str(_spec(tmp_path)), "--sun", str(tmp_path / "sun.csv"))
    assert (code, "there is no such ordinary file" in err) == (2, True)


# -- what is written --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("target", ["/dev/full", "/dev/null", "pipe"])
def test_no_file_takes_the_place_of_a_device_or_a_pipe(
    target: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "out.svg").symlink_to(tmp_path / "pipe" if target == "pipe" else target)
    code, _, err = _said(capsys, "draw", str(_spec(tmp_path)), "-o", str(tmp_path / "out.svg"))
    assert (code, "can't be written" in err or "device or a pipe" in err) == (2, True)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["box.yaml", "out.svg", "pipe"]


def test_behind_a_link_the_file_is_written_and_the_link_stays(tmp_path: Path) -> None:
    (tmp_path / "there.svg").write_text("old", encoding="utf-8")
    (tmp_path / "out.svg").symlink_to(tmp_path / "there.svg")
    assert main(["draw", str(_spec(tmp_path)), "-o", str(tmp_path / "out.svg")]) == 0
    assert ((tmp_path / "out.svg").is_symlink(), (tmp_path / "there.svg").read_text()[:5]) == (True, "<svg ")


def test_a_name_as_long_as_a_folder_takes_is_written(tmp_path: Path) -> None:
    path = tmp_path / f"{'x' * 251}.svg"
    write_files({path: b"drawing"})
    assert path.read_bytes() == b"drawing"


def test_a_name_that_is_too_long_is_said_plainly(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = _said(capsys, "draw", str(_spec(tmp_path)), "-o", str(tmp_path / f"{'x' * 300}.svg"))
    assert (code, "can't be" in err) == (2, True)


def test_a_full_disk_leaves_the_old_files_as_they_were(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one, other = tmp_path / "one.svg", tmp_path / "other.svg"
    one.write_bytes(b"old")
    written = 0

    def fdopen(handle: int, mode: str) -> object:
        nonlocal written
        written += 1
        return open(handle, mode) if written == 1 else open("/dev/full", "wb", buffering=0)  # noqa: PTH123

    monkeypatch.setattr(os, "fdopen", fdopen)
    with pytest.raises(CommandError, match="No space left"):
        write_files({one: b"new", other: b"new"})
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"one.svg": b"old"}


def test_stdout_on_a_full_disk_is_no_fault_of_rigline(tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        ended = _run(["draw", str(_spec(tmp_path))], stdout=full)
    assert (ended.returncode, ended.stderr.splitlines()[-1]) == (
        2, "rigline: the output can't be read or written: No space left on device",
    )  # fmt: skip


def test_a_read_only_file_is_left_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out.svg"
    out.write_bytes(b"old")
    monkeypatch.setattr(os, "access", lambda *_: False)  # the tests' user may be one who may do everything
    with pytest.raises(CommandError, match="read-only"):
        write_files({out: b"new"})
    assert out.read_bytes() == b"old"


def test_a_file_keeps_the_rights_it_had(tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    out.write_bytes(b"old")
    out.chmod(0o640)
    write_files({out: b"new"})
    assert (out.read_bytes(), out.stat().st_mode & 0o777) == (b"new", 0o640)


def test_a_writer_that_is_killed_half_way_leaves_the_old_file(tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    out.write_bytes(b"old")
    script = (
        "import os, signal, pathlib, rigline.outputs.files as files\n"
        "files._rights = lambda path: os.kill(os.getpid(), signal.SIGKILL)\n"
        f"files.write_files({{pathlib.Path({str(out)!r}): b'new' * 100000}})\n"
    )
    ended = subprocess.run([sys.executable, "-c", script], check=False)
    assert (ended.returncode, out.read_bytes()) == (-9, b"old")


def test_of_two_writers_at_once_one_wins_whole(tmp_path: Path) -> None:
    out = tmp_path / "out.svg"
    contents = [bytes([letter]) * 200_000 for letter in b"abcdefgh"]
    threads = [threading.Thread(target=write_files, args=({out: content},)) for content in contents]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (out.read_bytes() in contents, [path.name for path in tmp_path.iterdir()]) == (True, ["out.svg"])


# -- names that are more than names -----------------------------------------------------------------------------------

NAMES = {
    "script": "'<script>alert(1)</script>'",
    "entity": "'&lt;&#x0;&amp;&nbsp;'",
    "attribute": "'\" onload=\"alert(1)'",
    "end of data": "']]>--><!--'",
    "shell": "'$(touch /tmp/x) `id` $HOME'",
    "format": "'%s %n {0} {x.__class__}'",
    "override": '"abc\\u202Etxt\\u202C"',
    "line separator": '"a\\u2028b"',
    "next line": '"a\\u0085b"',
    "line feed": '"a\\nINJECTED 0 dangers"',
}


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_text_in_every_output(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = str(_spec(tmp_path, NAMES[name]))
    outs = {}
    for command in ("check", "schedule", "parts", "energy"):
        for form in ("text", "markdown") if command != "energy" else ("text", "markdown", "csv"):
            main([command, spec, "--format", form])
            outs[command, form] = capsys.readouterr().out
    outs |= {("draw", "svg"): _said(capsys, "draw", spec)[1], ("labels", "csv"): _said(capsys, "labels", spec)[1]}
    assert {what: CONTROL.findall(text) for what, text in outs.items() if CONTROL.search(text)} == {}
    assert [what for what, text in outs.items() if re.search(r"(?m)^INJECTED", text)] == []
    marked = {what: text for what, text in outs.items() if what[1] in ("markdown", "svg")}
    assert [what for what, text in marked.items() if re.search(r"<script>alert|(?<!\\)<!--", text)] == []
    elements = ElementTree.fromstring(outs["draw", "svg"]).iter()
    assert [key for element in elements for key in element.attrib if key.startswith("on")] == []


@pytest.mark.parametrize("start", ["=1+1", "+1", "-1", "@SUM(A1)"])
def test_no_cell_of_any_table_is_a_formula(start: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = str(_spec(tmp_path, f"'{start}'"))
    tables = [_said(capsys, command, spec, "--format", "csv")[1] for command in ("schedule", "parts", "energy")]
    tables.append(_said(capsys, "labels", spec)[1])
    cells = [cell for table in tables for cell in re.split(r'[,\n]"?', table)]
    assert [cell for cell in cells if cell[:1] in ("=", "@", "+", "-")] == []
    assert [cell for cell in cells if start in cell] != []


def test_the_name_of_a_file_commands_no_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    spec = str(_spec(tmp_path, file="a\x1b[31m\x07\n.yaml"))
    for command in (["check", spec], ["check", f"{spec}.yaml"], ["parts", spec], ["check", spec, "--format", "sarif"]):
        _, out, err = _said(capsys, *command)
        assert CONTROL.search(out + err) is None


def test_a_file_name_that_is_no_text_is_told_by_its_codes(tmp_path: Path) -> None:
    (tmp_path / os.fsdecode(b"caf\xe9.yaml")).write_text(SPEC.format(name="Box"), encoding="utf-8")
    ended = _run(["check", os.fsdecode(b"caf\xe9.yaml")], cwd=tmp_path)
    assert (ended.returncode in (0, 1), "caf\\udce9.yaml" in ended.stdout) == (True, True)


def _run(arguments: list[str], **options: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "rigline", *arguments]
    streams: dict[str, object] = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "encoding": "utf-8", **options}
    return subprocess.run(command, check=False, **streams)  # type: ignore[call-overload, no-any-return]
