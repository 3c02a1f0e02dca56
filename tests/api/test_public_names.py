"""`import rigline`: the names a user's own script stands on, and what a notebook makes of the results."""

from __future__ import annotations

import importlib
import inspect
import json
import pkgutil
import pydoc
import subprocess
import sys
from pathlib import Path
from typing import Any, get_type_hints
from xml.etree import ElementTree

import pytest
from mypy import api as mypy

import rigline
from rigline.cli import main
from rigline.unit_system import UnitSystem

SCRIPT = '''\
"""What a user writes: every public name, once."""
from __future__ import annotations

import rigline


def dangers(report: rigline.Report) -> list[str]:
    found: list[rigline.Finding] = [f for f in report.findings if f.severity is rigline.Severity.DANGER]
    open_ones: tuple[rigline.NotAssessed, ...] = report.not_assessed
    return [f"{f.rule} {f.line}" for f in found] + [one.missing for one in open_ones]


def first(problem: rigline.Problem) -> int:
    return problem.line


def fuses(sizing: rigline.Sizing) -> dict[str, str]:
    choices: tuple[rigline.Choice, ...] = sizing.choices
    return {one.subject: one.value for one in choices}


try:
    system: rigline.System = rigline.read("specs/trailer.yaml")
except rigline.SpecError as error:
    print(first(error.problems[0]))
    raise
except rigline.CommandError as error:
    raise SystemExit(str(error)) from None
print(len(dangers(rigline.check(system))), rigline.check(system).text("markdown")[0])
print(fuses(rigline.size(system))["FA"])
table: rigline.Schedule = rigline.schedule(system)
print(table.text("csv").count("\\n"))
drawing: rigline.Drawing = rigline.draw(system, sheet="a3", show="dc", color=True)
names: list[str] = sorted(drawing.files("t.svg", "svg"))
energy: rigline.Energy = rigline.energy(system, latitude_deg=50.0)
lists: rigline.Order = rigline.order(system)
numbers: rigline.Study = rigline.study_of(system)
one: rigline.SegmentStudy = numbers.segments[0]
amps: float | None = one.current_a
made: rigline.BuildNotes = rigline.notes(system)
compared: rigline.Changes = rigline.changes(rigline.read_state("specs/lights.yaml"), system)
marked: rigline.Drawing = rigline.draw_changes(compared, sheet="a3")
print(sorted(made.files("BUILD.md", "md")), compared.text("markdown")[0], marked.only(1).report_words)
print(names, energy.text()[0], lists.text("csv")[:4], amps is not None, rigline.explain("shunt")[:5])
'''


@pytest.fixture
def system(in_project: Path) -> rigline.System:
    return rigline.read("specs/faulty.yaml")


def test_a_user_s_script_has_types_and_runs(in_project: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """mypy, strict, is content with every public name used as documented, and finds wrong use."""
    script, wrong = tmp_path / "mine.py", tmp_path / "wrong.py"
    script.write_text(SCRIPT, encoding="utf-8")
    wrong.write_text("import rigline\nrigline.check('trailer.yaml')\nrigline.read(3).head.titel\n", encoding="utf-8")
    monkeypatch.chdir(in_project)  # so that the project's own settings and cache are used
    options = ["--follow-imports=silent"]
    said, complaints, code = mypy.run([*options, str(script), str(wrong)])

    assert complaints == ""
    assert sorted(
        line.partition(": error")[0].rpartition("/")[2] for line in said.splitlines() if "error:" in line
    ) == [
        "wrong.py:2",
        "wrong.py:3",
        "wrong.py:3",
    ]
    assert code == 1
    done = subprocess.run([sys.executable, str(script)], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1].startswith("['t.svg'] ")


def test_every_public_name_is_used_in_that_script() -> None:
    assert [name for name in rigline.__all__ if f"rigline.{name}" not in SCRIPT] == []


def test_whatever_a_public_function_returns_can_be_named_in_an_annotation() -> None:
    names = {name: getattr(rigline, name) for name in rigline.__all__} | {"UnitSystem": UnitSystem}
    functions = [one for one in names.values() if inspect.isfunction(one)]
    returned = {one.__name__: get_type_hints(one, localns=names)["return"].__name__ for one in functions}
    assert {name: kind for name, kind in returned.items() if kind not in {*names, "str"}} == {}
    assert len(returned) == len([name for name in names if name.islower()])


def test_a_module_never_takes_the_place_of_a_function_of_its_name() -> None:
    """Loading a package sets it as an attribute of the one above it: `rigline.energy` is such a pair."""
    for _, name, _ in pkgutil.walk_packages(rigline.__path__, "rigline."):
        if not name.endswith("__main__"):
            importlib.import_module(name)
    assert [name for name in rigline.__all__ if not callable(getattr(rigline, name))] == []


@pytest.mark.parametrize("name", rigline.__all__)
def test_help_can_be_read_for_every_public_name(name: str) -> None:
    said = pydoc.plain(pydoc.render_doc(getattr(rigline, name)))
    assert str(getattr(rigline, name).__doc__).splitlines()[0] in said


def test_help_begins_with_what_can_be_called() -> None:
    said = pydoc.plain(pydoc.render_doc(rigline))
    first = said.partition("PACKAGE CONTENTS")[0]
    functions = [name for name in rigline.__all__ if name.islower()]
    assert [name for name in functions if f"        {name}(" not in first] == []
    assert max(len(line) for line in first.splitlines()) <= 130


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'Schematic'"):
        rigline.Schematic  # noqa: B018  # the access is what is tested


def results(system: rigline.System) -> dict[str, Any]:
    """Everything that a cell of a notebook may end with."""
    return {
        "check": rigline.check(system),
        "size": rigline.size(system),
        "schedule": rigline.schedule(system),
        "draw": rigline.draw(system),
        "energy": rigline.energy(system),
        "order": rigline.order(system),
        "notes": rigline.notes(system),
        "changes": rigline.changes(rigline.read("specs/lights.yaml"), system),
    }


def test_a_notebook_shows_every_result_as_well_formed_html(system: rigline.System) -> None:
    for name, result in results(system).items():
        html = result._repr_html_()
        root = ElementTree.fromstring(html.replace("&nbsp;", "&#160;"))
        assert (name, root.tag, "<script" in html, "Van wired" in html or name == "size") == (name, "div", False, True)


def test_a_notebook_shows_what_the_rules_said_and_the_cautions(system: rigline.System) -> None:
    report = rigline.check(system)
    root = ElementTree.fromstring(report._repr_html_())
    rows = [[cell.text for cell in row.findall("td")] for row in root.find("table") or ()]
    assert [row[4] for row in rows[1:]] == [finding.remedy for finding in report.findings]
    assert "".join(root.itertext()).count("Caution: ") == 4


def test_text_of_a_spec_is_never_markup_in_a_notebook(in_project: Path, tmp_path: Path) -> None:
    """A spec may come from somebody else."""
    spec = tmp_path / "odd.yaml"
    text = in_project.joinpath("specs", "faulty.yaml").read_text(encoding="utf-8")
    title = next(line for line in text.splitlines() if line.startswith("title:"))
    spec.write_text(text.replace(title, 'title: "Van wired <img src=x onerror=alert(1)>"'), encoding="utf-8")
    for result in results(rigline.read(spec)).values():
        assert "<img" not in result._repr_html_()


def test_a_notebook_gets_one_sheet_as_svg_and_several_as_html(in_project: Path) -> None:
    one = rigline.draw(rigline.read("specs/trailer.yaml"))
    several = rigline.draw(rigline.read("specs/boat.yaml"))
    assert (one._repr_svg_(), several._repr_svg_()) == (one.svgs[0], None)
    assert several._repr_html_().count("<svg") == len(several.svgs)


@pytest.mark.parametrize(
    ("command", "form"),
    [(name, form) for name in ("check", "schedule", "parts") for form in ("text", "json", "markdown")]
    + [("check", "sarif"), ("schedule", "csv"), ("parts", "csv"), ("size", "text")],
)
def test_text_is_what_the_command_prints(
    in_project: Path, capsys: pytest.CaptureFixture[str], command: str, form: str
) -> None:
    main([command, "specs/faulty.yaml", *([] if command == "size" else ["--format", form])])
    result = results(rigline.read("specs/faulty.yaml"))["order" if command == "parts" else command]
    assert (result.text() if command == "size" else result.text(form)) == capsys.readouterr().out


@pytest.mark.parametrize("form", ["text", "json", "markdown"])
def test_text_of_changes_is_what_the_command_prints(
    in_project: Path, capsys: pytest.CaptureFixture[str], form: str
) -> None:
    states = ["specs/lights.yaml", "specs/trailer.yaml"]
    main(["changes", *states, "--format", form])
    old, new = (rigline.read(state) for state in states)
    assert rigline.changes(old, new).text(form) == capsys.readouterr().out


def test_text_of_notes_is_what_the_command_prints(in_project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["notes", "specs/trailer.yaml"])
    made = rigline.notes(rigline.read("specs/trailer.yaml"))
    assert (made.text(), made.text("html")) == (capsys.readouterr().out, made.html().decode())


def test_a_form_that_does_not_exist_is_said_plainly(system: rigline.System) -> None:
    for result in (rigline.check(system), rigline.schedule(system), rigline.order(system), rigline.energy(system)):
        with pytest.raises(rigline.CommandError, match="there is no form docx; give text, "):
            result.text("docx")
    with pytest.raises(rigline.CommandError, match="there is no form docx; give markdown, html"):
        rigline.notes(system).text("docx")


def test_json_of_a_report_is_read_by_the_standard_library(system: rigline.System) -> None:
    assert json.loads(rigline.check(system).text("json"))["counts"]["danger"] > 0


def test_naming_a_type_loads_no_more_than_it_needs() -> None:
    code = "import sys, rigline; print([name for name in ('pydantic', 'networkx', 'schemdraw') if name in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"
