"""`rigline changes` as a user types it: files or revisions, three forms, a marked drawing, exit codes of diff."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path
from xml.etree import ElementTree

import pytest

from rigline.cli import main
from rigline.outputs.text import WIDTH

ROOT = Path(__file__).parent.parent.parent
SPEC = """\
rigline: 1
title: Box
revision: A
profile: us-rv
parts: [shop/parts.yaml]
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 50 Ah, short-circuit: 1.8 kA, stud: M8}
  F1: {part: MAIN, stud: M8}
  DC1: {kind: fuse-block, rating: 75 A, stud: M6}
  FA: {kind: fuse, style: blade, rating: 5 A}
  LT1: {kind: dc-load, name: "<b>Lights</b> | x", power: 24 W}
  GND: {kind: chassis, stud: M8}
runs:
  - {id: W1, path: [B1, F1, DC1], lengths: [0.1 m, 0.6 m], wire: 8 AWG}
  - {id: W2, path: [DC1, FA, LT1], length: 2 m, wire: 14 AWG}
  - {id: W3, path: [DC1-, GND], length: 0.3 m, carries: bond, wire: 8 AWG}
"""
PARTS = "parts:\n  MAIN: {kind: fuse, style: terminal, rating: 40 A}\n"


def git(folder: Path, *arguments: str) -> None:
    """Run git in a folder as nobody in particular."""
    who = {f"GIT_{role}_{what}": f"{what.lower()}@example.org" for role in ("AUTHOR", "COMMITTER")
           for what in ("NAME", "EMAIL")}  # fmt: skip
    alone = {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
    subprocess.run(
        ["git", "-C", str(folder), *arguments], check=True, capture_output=True, env=os.environ | who | alone
    )


@pytest.fixture
def boat(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a spec and its parts file in a repository of two commits, the spec below its root."""
    folder = tmp_path / "boat"
    (folder / "shop").mkdir(parents=True)
    (folder / "box.yaml").write_text(SPEC, encoding="utf-8")
    (folder / "shop" / "parts.yaml").write_text(PARTS, encoding="utf-8")
    git(tmp_path, "init", "--quiet")
    git(tmp_path, "add", "--all")
    git(tmp_path, "commit", "--quiet", "--message", "first")
    (folder / "box.yaml").write_text(SPEC.replace("length: 2 m", "length: 3 m"), encoding="utf-8")
    (folder / "shop" / "parts.yaml").write_text(PARTS.replace("40 A", "50 A"), encoding="utf-8")
    git(tmp_path, "commit", "--quiet", "--all", "--message", "second")
    monkeypatch.chdir(tmp_path)
    return folder


def printed(capsys: pytest.CaptureFixture[str], code: int, *arguments: str) -> str:
    """What a command that ends with a code puts on stdout."""
    assert main(["changes", *arguments]) == code
    return capsys.readouterr().out


def refusal(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """What a command that is wrong says; it prints no result."""
    assert main(["changes", *arguments]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    return said.err


def test_no_change_is_exit_code_0_and_a_change_is_1(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As diff users expect."""
    assert "No change.\n" in printed(capsys, 0, "boat/box.yaml", "boat/box.yaml")
    assert "No change." not in printed(capsys, 1, "boat/box.yaml@HEAD~1", "boat/box.yaml")


def test_a_revision_is_read_with_its_own_parts_file(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(printed(capsys, 1, "boat/box.yaml@HEAD~1", "boat/box.yaml", "--format", "json"))

    assert found["old"]["spec"] == "boat/box.yaml@HEAD~1"
    assert [one["details"] for one in found["changes"]] == [
        [{"kind": "re-rated", "text": "rating 40 A → 50 A"}], [{"kind": "re-routed", "text": "length 2 m → 3 m"}],
    ]  # fmt: skip
    assert printed(capsys, 0, "boat/box.yaml@HEAD", "boat/box.yaml").endswith("No change.\n")


def test_two_revisions_are_compared_wherever_the_command_runs(
    boat: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir("/")
    (boat / "box.yaml").unlink()

    assert "re-routed" in printed(capsys, 1, f"{boat}/box.yaml@HEAD^", f"{boat}/box.yaml@HEAD@{{0}}")


@pytest.mark.parametrize("revision", ["", "--output=x", "-h", "HEAD:boat", "HEAD x", ":/first", "HEAD\n"])
def test_a_revision_that_git_might_take_for_something_else_is_refused(
    boat: Path, revision: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Git is not even asked."""
    monkeypatch.setenv("PATH", "")

    assert "write a commit, branch or tag behind the @" in refusal(capsys, f"boat/box.yaml@{revision}", "boat/box.yaml")


def test_what_is_missing_is_said(
    boat: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    bare = tmp_path_factory.mktemp("bare")
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(bare.parent))

    assert "no revision v9" in refusal(capsys, "boat/box.yaml@v9", "boat/box.yaml")
    assert "new.yaml was not in revision HEAD" in refusal(capsys, "boat/new.yaml@HEAD", "boat/box.yaml")
    assert "there is no folder shed" in refusal(capsys, "shed/box.yaml@HEAD", "boat/box.yaml")
    assert "lies in no git repository" in refusal(capsys, f"{bare}/box.yaml@HEAD", "boat/box.yaml")
    monkeypatch.setenv("PATH", "")
    assert "git is needed to read a revision, and is not installed" in refusal(
        capsys, "boat/box.yaml@HEAD", "boat/box.yaml"
    )


def test_a_parts_file_outside_the_folder_is_refused_in_a_revision_too(
    boat: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (boat.parent / "evil.yaml").write_text(PARTS, encoding="utf-8")
    (boat / "box.yaml").write_text(SPEC.replace("shop/parts.yaml", "../evil.yaml"), encoding="utf-8")
    git(boat.parent, "add", "--all")
    git(boat.parent, "commit", "--quiet", "--message", "evil")

    said = refusal(capsys, "boat/box.yaml@HEAD", "boat/box.yaml@HEAD~1")
    assert "a parts file must lie in the spec's own folder" in said
    assert "boat/box.yaml@HEAD:5" in said


def test_a_wrong_spec_of_a_revision_is_told_with_its_line(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (boat / "box.yaml").write_text(SPEC.replace("rating: 5 A", "rating: 5 V"), encoding="utf-8")
    git(boat.parent, "commit", "--quiet", "--all", "--message", "wrong")

    assert "boat/box.yaml@HEAD:10:" in refusal(capsys, "boat/box.yaml@HEAD", "boat/box.yaml@HEAD~1")


def test_the_drawing_marks_every_change_with_a_triangle(
    boat: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    printed(capsys, 1, "boat/box.yaml@HEAD~1", "boat/box.yaml", "-o", "marked.svg", "-o", "marked.pdf")
    root = ElementTree.parse(tmp_path / "marked.svg").getroot()
    texts = {text.text for text in root.iter("{http://www.w3.org/2000/svg}text")}

    assert [group.get("data-change") for group in root.iter() if group.get("class") == "change"] == ["1", "2"]
    assert {"Changed", "F1 re-rated: rating 40 A → 50 A", "W2 re-routed: length 2 m → 3 m"} <= texts
    assert "Changes since box.yaml@HEAD~1" in texts
    assert (tmp_path / "marked.pdf").read_bytes().startswith(b"%PDF")


def test_the_sheets_of_a_large_system_bear_triangles_and_flags_by_their_own_numbers(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Several sheets, with places that are named in labels: each flag keeps its shape and number."""
    monkeypatch.chdir(tmp_path)
    text = (ROOT / "specs" / "camper.yaml").read_text(encoding="utf-8")
    Path("old.yaml").write_text(text, encoding="utf-8")
    Path("new.yaml").write_text(text.replace("parallel: 1, pmax", "parallel: 2, pmax").replace("2.5 m", "2.6 m"),
                                encoding="utf-8")  # fmt: skip
    printed(capsys, 1, "old.yaml", "new.yaml", "-o", "m.svg")
    groups = [group for name in sorted(Path().glob("m-*.svg")) for group in ElementTree.parse(name).getroot().iter()]

    assert [group.get("data-change") for group in groups if group.get("class") == "change"] == ["1", "2"]
    titles = [group.find("{http://www.w3.org/2000/svg}title") for group in groups if group.get("class") == "flag"]
    assert {"" if title is None else title.text for title in titles} == {"Finding 1, fault", "Finding 2, advice"}


def test_nothing_is_written_if_a_state_is_wrong(boat: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    refusal(capsys, "boat/box.yaml@v9", "boat/box.yaml", "-o", "marked.svg")
    assert "give .svg, .pdf or .png" in refusal(capsys, "boat/box.yaml", "boat/box.yaml", "-o", "marked.html")

    assert sorted(path.name for path in tmp_path.iterdir()) == [".git", "boat"]


def test_a_stage_is_compared_with_a_stage(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (boat / "box.yaml").write_text(SPEC.replace("power: 24 W", "power: 36 W, stage: 2"), encoding="utf-8")
    first = printed(capsys, 1, "boat/box.yaml@HEAD~1", "boat/box.yaml", "--stage", "1")

    assert "LT1 (<b>Lights</b> | x) removed" in first
    assert "boat/box.yaml, revision A, stage 1" in first
    assert "re-rated: power 24 W" in printed(capsys, 1, "boat/box.yaml@HEAD~1", "boat/box.yaml", "--stage", "2")


def test_names_are_text_in_markdown(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (boat / "box.yaml").write_text(SPEC.replace("24 W", "36 W"), encoding="utf-8")
    page = printed(capsys, 1, "boat/box.yaml@HEAD~1", "boat/box.yaml", "--format", "markdown")

    assert "<b>" not in page and r"\<b\>Lights" in page
    assert "## To buy: components" in page and "## Cautions" in page


DEMOS = sorted(path.name for path in (ROOT / "specs").glob("*.yaml"))


@pytest.mark.parametrize("demo", DEMOS)
def test_a_report_of_many_changes_fits_80_columns(demo: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Two systems that have little to do with each other."""
    lines = printed(
        capsys, 1, str(ROOT / "specs" / demo), str(ROOT / "specs" / DEMOS[DEMOS.index(demo) - 1])
    ).splitlines()

    # The path of the spec is as long as it is.
    assert [line for line in lines if len(line) > WIDTH and str(ROOT) not in line] == []
    assert sum(line.startswith("Caution: ") for line in lines) == 4
