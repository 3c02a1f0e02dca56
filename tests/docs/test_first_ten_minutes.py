"""The first ten minutes go as the README says: begin, check, draw, measure a wire and write it in, check again."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from rigline.cli import main

ROOT = Path(__file__).parent.parent.parent


def commands() -> list[list[str]]:
    """The commands of the README's chapter for beginners, in their order."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    chapter = text.partition("## Your first ten minutes")[2].partition("\n## ")[0]
    block = re.findall(r"```sh\n(.*?)```", chapter, re.DOTALL)[0]
    return [shlex.split(line, comments=True) for line in block.splitlines() if line.strip()]


def test_the_first_ten_minutes_go_as_the_readme_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    walked = []
    for program, *arguments in commands():
        if program == "rigline":
            walked.append(arguments[0])
            assert main(arguments) == 0
        else:
            assert program == "sed"
            (edit, name) = arguments[-2:]
            old, new = edit.split("/")[1:3]
            spec = Path(name).read_text(encoding="utf-8")
            assert spec.count(old) == 1
            Path(name).write_text(spec.replace(old, new), encoding="utf-8")
            walked.append("edit")
    said = capsys.readouterr().out

    assert walked == ["new", "check", "draw", "edit", "check"]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["rigline.schema.json", "trailer.html", "trailer.yaml"]
    assert "Cabin lights" in Path("trailer.yaml").read_text(encoding="utf-8")
    assert said.count("0 dangers, 0 faults") == 2
