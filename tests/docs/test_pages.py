"""Pages that follow from the code are up to date, and what the pages show works."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
import re
from pathlib import Path

import pytest

import rigline
from rigline.cli import main
from rigline.outputs.reference_docs import inserted
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree

ROOT = Path(__file__).parent.parent.parent


def test_the_spec_reference_lists_every_kind_and_field(update_gallery: bool) -> None:
    page = ROOT / "specs" / "README.md"
    wanted = inserted(page.read_text(encoding="utf-8"))
    if update_gallery:
        page.write_text(wanted, encoding="utf-8")

    assert page.read_text(encoding="utf-8") == wanted


def test_the_spec_in_the_readme_is_sound(tmp_path: Path) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    spec = tmp_path / "readme.yaml"
    spec.write_text(re.findall(r"```yaml\n(.*?)```", text, re.DOTALL)[0], encoding="utf-8")

    assert main(["check", str(spec)]) == 0


def test_every_command_in_the_readme_exists(capsys: pytest.CaptureFixture[str]) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    named = set(re.findall(r"^rigline (\w+) ", text, re.MULTILINE))
    with pytest.raises(SystemExit):
        main(["--help"])
    shown = set(re.findall(r"^    (\w+) ", capsys.readouterr().out, re.MULTILINE))

    assert named == shown


WORDS = {
    "SPEC": "specs/trailer.yaml",
    "OLD": "specs/trailer.yaml",
    "NEW": "specs/trailer.yaml",
    "WORD": "fuse",
    "...": "specs/lights.yaml",
}
"""What stands for what in the README's commands."""
ENDINGS = {"draw": "svg", "notes": "html", "convert": "json", "new": "yaml"}
"""Of a command's file `F`, or `[FILE]`."""
FURTHER = {"new": ("--from", "trailer")}
"""What a command asks a person for."""
MAKES = {"new": ["made.yaml", "rigline.schema.json"]}
"""Files that a command writes, if not one of the name it was given."""
LIST = (ROOT / "README.md").read_text(encoding="utf-8").split("## Commands")[1]
LINES = re.findall(r"^(rigline (\w+) \S.*?)  +(\S.*(?:\n +\S.*)*)", LIST, re.MULTILINE)
"""Command, its name, and what the README says of it."""


@pytest.mark.parametrize(("line", "command", "said"), LINES, ids=[name for _, name, _ in LINES])
def test_a_command_of_the_readme_runs_as_written(
    line: str,
    command: str,
    said: str,
    in_project: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """With a demo, and with the options that the README names among those of the command's help."""
    # The page would be shown until somebody ends it; other tests open it.
    monkeypatch.setattr("rigline.view.serving.serve", lambda *_: None)
    file = str(tmp_path / f"made.{ENDINGS.get(command, '')}")
    words = [file if word in ("F", "[FILE]") else WORDS.get(word, word) for word in line.split()[1:]]
    assert main([*words, *FURTHER.get(command, ())]) == 0
    made = MAKES.get(command, [Path(file).name] if " -o F" in line else [])
    assert sorted(path.name for path in tmp_path.iterdir()) == made

    with pytest.raises(SystemExit):
        main([command, "--help"])
    options = capsys.readouterr().out
    assert [option for option in re.findall(r"(?<![\w-])--?[a-z]+(?:-[a-z]+)*", said) if option not in options] == []


def test_ci_runs_every_command_of_the_readme_that_installs() -> None:
    """The others need what these install; the walk through the first ten minutes runs them."""
    blocks = re.findall(
        r"^```sh\n(.*?)^```$", (ROOT / "README.md").read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL
    )
    run = re.findall(r"\$\(readme (\d+)\)", (ROOT / ".ci" / "run").read_text(encoding="utf-8"))

    assert [int(number) for number in run] == [i for i, block in enumerate(blocks, 1) if "pip install" in block]


PAGE_COMPONENTS = """\
components:
  B1: {kind: battery}
  B2: {kind: battery}
  F1: {kind: fuse}
  Q1: {kind: switch}
  Q2: {kind: switch}
  RS1: {kind: shunt}
  BUS1: {kind: busbar}
  GND: {kind: chassis}
  INV1: {kind: inverter}
  LT1: {kind: dc-load}
"""
"""What the runs on the page join."""


def test_the_runs_in_the_spec_page_are_read() -> None:
    page = (ROOT / "specs" / "README.md").read_text(encoding="utf-8")
    for block in re.findall(r"```yaml\n(.*?)```", page, re.DOTALL):
        head = "rigline: 1\nprofile: us-rv\n" + ("" if "components:" in block else PAGE_COMPONENTS)
        document = load_document(read_tree(head + block, "page.yaml", "yaml"))
        assert document.components or document.runs


MODULES = sorted(
    ["rigline"]
    + [name for _, name, _ in pkgutil.walk_packages(rigline.__path__, "rigline.") if not name.endswith("__main__")]
)


@pytest.mark.parametrize("name", MODULES)
def test_every_example_in_a_docstring_runs(in_project: Path, name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_the_life_of_one_wire_runs_as_written(in_project: Path) -> None:
    assert doctest.testfile(str(ROOT / "DEVELOPERS.md"), module_relative=False).failed == 0
