"""What the docs say about repositories works: the hooks, the job, the commands and the table of exit codes."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft7Validator
from ruamel.yaml import YAML

from rigline.cli import main

ROOT = Path(__file__).parent.parent.parent
PAGE = (ROOT / "specs" / "README.md").read_text(encoding="utf-8")
SARIF = ROOT / "tests" / "outputs" / "sarif-2.1.0-rtm.5.json"


def block(language: str) -> str:
    """The one block of a language on the page."""
    found = re.findall(rf"```{language}\n(.*?)```", PAGE, re.DOTALL)
    assert len(found) == 1
    return str(found[0])


def yaml(text: str) -> Any:
    return YAML(typ="safe").load(text)


def hooks() -> dict[str, dict[str, Any]]:
    """The hooks that the repository offers, by id."""
    return {hook["id"]: hook for hook in yaml((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))}


def arguments(line: str) -> list[str]:
    """What a shell hands to `rigline`, with the file for its output left out."""
    command, *words = shlex.split(line.partition(" > ")[0])
    assert command == "rigline"
    return words


@pytest.fixture
def drawn(in_project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A repository with specs and the drawings that the page speaks of."""
    (tmp_path / "specs").mkdir()
    for name in ("trailer", "lights"):
        (tmp_path / "specs" / f"{name}.yaml").write_bytes((ROOT / "specs" / f"{name}.yaml").read_bytes())
    monkeypatch.chdir(tmp_path)
    assert main(["draw", "specs/trailer.yaml", "-o", "trailer.svg", "-o", "trailer.pdf"]) == 0
    return tmp_path


def stale(folder: Path) -> None:
    """Change the spec and leave its drawings behind."""
    spec = folder / "specs" / "trailer.yaml"
    spec.write_text(spec.read_text(encoding="utf-8").replace("power: 36 W", "power: 30 W"), encoding="utf-8")


def test_the_commands_for_a_repository_run_as_written(drawn: Path) -> None:
    check, draw = block("sh").splitlines()
    assert (main(arguments(check)), main(arguments(draw))) == (0, 0)
    stale(drawn)
    assert (main(arguments(check)), main(arguments(draw))) == (0, 1)


def test_the_hooks_that_the_page_names_are_offered_and_run(drawn: Path) -> None:
    """A hook's entry is followed by its arguments and, if it takes them, the files that were changed."""
    offered = hooks()
    used = {hook["id"]: hook.get("args", []) for hook in yaml(block("yaml hooks"))["repos"][0]["hooks"]}
    assert sorted(used) == sorted(offered)
    files = [path.relative_to(drawn).as_posix() for path in sorted(drawn.rglob("*.*"))]
    for id, args in used.items():
        hook = offered[id]
        named = [] if hook.get("pass_filenames") is False else [f for f in files if re.search(hook["files"], f)]
        assert (id, main([*arguments(hook["entry"]), *args, *named])) == (id, 0)
        assert named == ([] if id == "rigline-drawings" else ["specs/lights.yaml", "specs/trailer.yaml"])


def test_a_hook_has_what_the_framework_asks_for() -> None:
    """id, name, entry and language are required of a hook's definition (pre-commit, "Creating new hooks")."""
    assert [sorted({"id", "name", "entry", "language"} - set(hook)) for hook in hooks().values()] == [[], []]
    assert {hook["language"] for hook in hooks().values()} == {"python"}


def test_the_job_writes_a_report_that_the_standard_allows(drawn: Path, capsys: pytest.CaptureFixture[str]) -> None:
    steps = yaml(block("yaml job"))["jobs"]["wiring"]["steps"]
    runs = [step["run"] for step in steps if step.get("run", "").startswith("rigline ")]
    assert len(runs) == 2
    capsys.readouterr()
    assert main(arguments(runs[0])) == 0
    log = json.loads(capsys.readouterr().out)
    assert list(Draft7Validator(json.loads(SARIF.read_text(encoding="utf-8"))).iter_errors(log)) == []
    assert main(arguments(runs[1])) == 0
    uploads = [step["with"]["sarif_file"] for step in steps if "with" in step]
    assert uploads == [runs[0].partition(" > ")[2]]


def test_the_readme_s_synopsis_names_real_options(capsys: pytest.CaptureFixture[str]) -> None:
    """Every option behind a command in the list of commands is one of that command."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    listed = readme.partition("## Commands")[2].partition("```\n")[2].partition("```")[0]
    for entry in re.split(r"\n(?=rigline )", listed.strip()):
        command = entry.split()[1]
        with pytest.raises(SystemExit):
            main([command, "--help"])
        offered = capsys.readouterr().out
        assert (command, [o for o in re.findall(r"--[a-z-]+", entry) if o not in offered]) == (command, [])


@pytest.mark.parametrize(
    "words",
    [
        ["check"],
        ["schedule"],
        ["size"],
        ["parts"],
        ["energy"],
        ["labels"],
        ["draw", "-o", "FILE"],
        ["explain", "W1", "--in"],
    ],
    ids=lambda words: words[0],
)
def test_every_command_of_the_readme_runs_on_a_demo(in_project: Path, tmp_path: Path, words: list[str]) -> None:
    command, *options = [str(tmp_path / "out.svg") if word == "FILE" else word for word in words]
    assert main([command, *options, "specs/trailer.yaml"]) == 0


def test_the_words_that_the_readme_explains_can_be_explained() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    named = re.search(r"key or term, as (\S+), (\S+) or (\S+);", readme)
    assert named is not None
    assert [main(["explain", word]) for word in named.groups()] == [0, 0, 0]
