"""A spec means the same system in every form, and what is wrong with a table is told by row and column."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from laws.strategies import Plan, plans
from workbooks import ods_of, xlsx_of, zip_of

from rigline.api import read, read_text
from rigline.cli import main
from rigline.errors import CommandError, SpecError
from rigline.model.build import build_system
from rigline.model.sameness import differences
from rigline.model.system import System
from rigline.outputs.converting import converted
from rigline.spec.load import load_document
from rigline.spec.reading import read_bytes, read_tree
from rigline.spec.writing_forms import WRITERS
from rigline.spec.writing_table import table_of

ROOT = Path(__file__).parent.parent.parent
SPECS = sorted((ROOT / "specs").glob("*.yaml"))
CASES = sorted((ROOT / "tests" / "cases").glob("*.yaml"))
FORMS = ("csv", "json", "toml", "yaml")


def system_of(content: bytes, form: Any, name: str = "table.csv") -> System:
    """The system in a file's bytes."""
    tree = read_bytes(content, name, form)
    return build_system(load_document(tree), tree)


def problems(text: str | bytes) -> list[str]:
    """What is wrong with a table."""
    try:
        system_of(text.encode() if isinstance(text, str) else text, "csv")
    except SpecError as error:
        return [problem.text() for problem in error.problems]
    return []


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("path", [*SPECS, *CASES], ids=lambda path: path.stem)
def test_a_converted_spec_is_the_same_system(path: Path, form: str) -> None:
    content, _ = converted(path, form)

    assert list(differences(system_of(content, form), read(path))) == []


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_from_a_table_back_to_yaml_it_is_the_same_system(path: Path, tmp_path: Path) -> None:
    table = tmp_path / "table.csv"
    table.write_bytes(converted(path, "csv")[0])
    content, _ = converted(table, "yaml")

    assert list(differences(system_of(content, "yaml"), read(path))) == []


@given(plan=plans())
@settings(max_examples=25, deadline=None)
def test_any_system_is_the_same_in_every_form(plan: Plan) -> None:
    tree = read_tree(plan.text(), "law.yaml", "yaml")
    system = build_system(load_document(tree), tree)
    for form, write in WRITERS.items():
        assert list(differences(system_of(write(tree.data).encode(), form), system)) == []
    grid = table_of(tree.data, [run.id for run in system.runs]).grid()
    text = "\n".join(",".join(f'"{cell}"' for cell in row) for row in grid)
    assert list(differences(system_of(text.encode(), "csv"), system)) == []


def test_sameness_sees_a_changed_length_and_a_changed_rating() -> None:
    text = (ROOT / "specs" / "lights.yaml").read_text(encoding="utf-8")
    changed = text.replace("[0.1 m, 0.6 m]", "[0.1 m, 0.7 m]").replace("rating: 40 A", "rating: 50 A")

    assert sorted(differences(read_text(text), read_text(changed))) == ["F1", "W1"]


SMALL = """\
rigline,1
title,Box
profile,us-rv
places,locker,max,40 °C

id,kind,from,length,wire,rating,power,voltage,terminal,carries
B1,battery,,,,,,12 V,,
F1,fuse,B1,0.15 m,8 AWG,40 A,,,,
BUS1,busbar,F1,0.5 m,8 AWG,100 A,,,,
FA,fuse,BUS1,0.1 m,,,,,,
L1,dc-load,FA,3 m,,,24 W,,,
GND,chassis,BUS1-,0.5 m,8 AWG,,,,,bond
"""


def test_a_plain_table_needs_no_run_ids() -> None:
    system = system_of(SMALL.encode(), "csv")

    assert [(run.id, run.named, len(run.stops)) for run in system.runs] == [
        ("W1", False, 2), ("W2", False, 2), ("W3", False, 2), ("W4", False, 2), ("W5", False, 2)
    ]  # fmt: skip
    assert system.places["locker"].max_c == 40.0


def test_rows_with_one_run_are_one_path() -> None:
    head = "rigline,1\nprofile,us-rv\nid,kind,run,from,length\n"
    text = f"{head}B1,battery,,,\nF1,fuse,W7,B1,10 cm\nBUS1,busbar,W7,F1,1 m\n"
    run = system_of(text.encode(), "csv").runs[0]

    assert (run.id, [stop.component for stop in run.stops]) == ("W7", ["B1", "F1", "BUS1"])
    assert run.spec.lengths_m == (0.1, 1.0)


@pytest.mark.parametrize(
    ("change", "encoding"),
    [
        (lambda text: text, "utf-8-sig"),
        (lambda text: text.replace("\n", "\r\n"), "utf-8"),
        (lambda text: text.replace(",", ";").replace("0.15", "0,15"), "utf-8"),
        (lambda text: text.replace(",", "\t"), "utf-16"),
        (lambda text: "sep=;\n" + text.replace(",", ";"), "utf-8"),
        (lambda text: "# mine\n" + text.replace("id,kind", "ID,Kind").replace("length", "Length"), "utf-8"),
        (lambda text: text.replace("length", "length (m)").replace("0.15 m", "0.15").replace("0.5 m", "0.5"), "utf-8"),
    ],
    ids=["byte order mark", "carriage returns", "semicolons", "tabs in UTF-16", "sep line", "capitals", "unit above"],
)
def test_what_spreadsheets_do_to_a_table_changes_nothing(change: Any, encoding: str) -> None:
    assert list(differences(system_of(change(SMALL).encode(encoding), "csv"), system_of(SMALL.encode(), "csv"))) == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("wire,rating", "wire,ratng", "6:6: column ratng: there is no such column; did you mean rating?"),
        ("40 A", "40 V", "8:6: F1 rating: V is the unit of a voltage; give a current, as in 20 A or 3 kA; got 40 V"),
        ("L1,dc-load,FA", "L1,dc-load,F9", "11:3: run 4: there is no component F9; list it under components:"),
        ("dc-load", "dc-lod", "11:2: L1 kind: no such kind of component; got dc-lod; did you mean dc-load?"),
        ("FA,fuse", ",fuse", "10:1: column id: a row has the id of a component; got fuse; give it one; begin the row "
         "with # if it is a remark"),
        ("B1,battery,,,", "B1,battery,,2 m,", "7:4: B1 length: this is about the wire that feeds it, and column from "
         "is empty; say in from where the wire comes from"),
        ("GND,chassis", "F1,breaker", "12:2: F1 kind: row 8 says what F1 is; got breaker; leave the cell empty: a "
         "further row with the same id is another feed; another component has another id"),
        ("title,Box", "title", "2:1: title: a fact above the headings has a value beside it; put the value into the "
         "next cell, as in title | My boat; begin a remark with #"),
        ("id,kind", "name,kind", "1:1: no row names the columns: there must be one with id, kind and from; see one: "
         "rigline new --from trailer --table"),
    ],
)  # fmt: skip
def test_a_mistake_in_a_table_is_told_with_row_and_column(old: str, new: str, message: str) -> None:
    assert f"table.csv:{message}" in problems(SMALL.replace(old, new))


def test_all_mistakes_of_a_table_are_told_at_once() -> None:
    text = SMALL.replace("40 A", "40 V").replace("12 V", "12 m").replace("24 W", "24 Ah")

    places = [problem.split(": ")[0] for problem in problems(text)]
    assert places == ["table.csv:7:8", "table.csv:8:6", "table.csv:11:7"]


def test_utf_16_without_its_mark_is_told_plainly() -> None:
    assert problems(SMALL.encode("utf-16-le")) == [
        "table.csv:1:1: this looks like UTF-16 text without its mark, or like no text at all; save the file as UTF-8"
    ]


def test_rows_of_a_run_must_follow_each_other() -> None:
    text = "rigline,1\nprofile,us-rv\nid,kind,run,from\nB1,battery,,\nF1,fuse,W1,B1\nBUS1,busbar,W1,B1\n"

    assert problems(text) == [
        "table.csv:6:4: BUS1 from: run W1 has come to F1 and goes on from there; got B1; "
        "put its rows in order, or give another run"
    ]


def test_what_a_table_cannot_carry_is_listed() -> None:
    written = table_of({"components": {"B1": {"kind": "battery", "bms": {}}}}, [])

    assert written.lost == ["B1 bms: it is there and says nothing"]


ROWS = [line.split(",") for line in SMALL.splitlines()]


@pytest.mark.parametrize(("form", "make"), [("xlsx", xlsx_of), ("ods", ods_of)])
def test_a_workbook_is_read_as_its_table(form: str, make: Any) -> None:
    assert list(differences(system_of(make(ROWS), form), system_of(SMALL.encode(), "csv"))) == []


def test_of_a_formula_only_the_saved_value_is_read() -> None:
    rows = [["=SUM(A1)" if cell == "40 A" else cell for cell in row] for row in ROWS]

    assert list(differences(system_of(xlsx_of(rows), "xlsx"), system_of(SMALL.encode(), "csv"))) == []


def test_a_workbook_that_would_fill_the_memory_is_refused_unread() -> None:
    bomb = zip_of({"xl/workbook.xml": "0" * 60_000_000})

    assert len(bomb) < 100_000
    with pytest.raises(SpecError, match="a workbook has at most 50 MB unpacked"):
        read_bytes(bomb, "bomb.xlsx", "xlsx")


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04", b"id,kind\n", zip_of({"a": "b"})])
@pytest.mark.parametrize("form", ["xlsx", "ods"])
def test_what_is_no_workbook_is_refused_in_plain_words(content: bytes, form: Any) -> None:
    with pytest.raises(SpecError, match="this isn't a workbook that can be read"):
        read_bytes(content, f"mine.{form}", form)


def test_without_the_extra_the_remedy_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "python_calamine", None)
    with pytest.raises(CommandError, match=r'pip install "rigline\[tables\]"'):
        read_bytes(xlsx_of(ROWS), "mine.xlsx", "xlsx")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with one spec."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "box.yaml").write_bytes((ROOT / "specs" / "lights.yaml").read_bytes())
    return tmp_path


def test_convert_writes_over_a_file_only_when_told(folder: Path) -> None:
    (folder / "box.csv").write_text("mine", encoding="utf-8")

    assert main(["convert", "box.yaml", "-o", "box.csv"]) == 2
    assert (folder / "box.csv").read_text(encoding="utf-8") == "mine"
    assert main(["convert", "box.yaml", "-o", "box.csv", "--force"]) == 0
    assert main(["check", "box.csv"]) == 0


def test_convert_never_writes_the_spec_over_itself(folder: Path) -> None:
    before = (folder / "box.yaml").read_bytes()

    assert main(["convert", "box.yaml", "-o", "box.yaml", "--force"]) == 2
    assert (folder / "box.yaml").read_bytes() == before


def test_convert_says_that_remarks_stay_behind(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["convert", "box.yaml", "-o", "box.json"]) == 0
    assert capsys.readouterr().err.splitlines() == [
        "wrote box.json", "1 remarks (#) of box.yaml are not in the new file"
    ]  # fmt: skip


def test_convert_of_a_wrong_spec_writes_nothing(folder: Path) -> None:
    (folder / "box.yaml").write_text("rigline: 1\n", encoding="utf-8")

    assert main(["convert", "box.yaml", "-o", "box.csv"]) == 2
    assert not (folder / "box.csv").exists()


def test_an_ending_without_a_form_is_refused(folder: Path) -> None:
    assert main(["convert", "box.yaml", "-o", "box.xlsx"]) == 2


def test_a_name_that_a_spreadsheet_takes_for_a_formula_comes_back_as_it_was(folder: Path) -> None:
    text = (folder / "box.yaml").read_text(encoding="utf-8").replace("name: Lights", 'name: "=1+1"')
    (folder / "box.yaml").write_text(text, encoding="utf-8")
    content, _ = converted(folder / "box.yaml", "csv")

    assert ",'=1+1," in content.decode()
    assert system_of(content, "csv").components["LT1"].name == "=1+1"


def test_remarks_stay_where_sizes_are_written_into_a_spec(folder: Path) -> None:
    text = (folder / "box.yaml").read_text(encoding="utf-8").replace("runs:", "runs:   # wires\n  # first")
    (folder / "box.yaml").write_text(text, encoding="utf-8")

    assert main(["size", "box.yaml", "--write"]) == 0
    after = (folder / "box.yaml").read_text(encoding="utf-8")
    assert [line for line in text.splitlines() if "#" in line] == [line for line in after.splitlines() if "#" in line]


def test_sizes_are_not_written_into_a_table_and_nothing_is_lost(folder: Path) -> None:
    assert main(["convert", "box.yaml", "-o", "box.csv"]) == 0
    before = (folder / "box.csv").read_bytes()

    assert main(["size", "box.csv", "--write"]) == 2
    assert (folder / "box.csv").read_bytes() == before


@pytest.mark.parametrize(("form", "make"), [("xlsx", xlsx_of), ("ods", ods_of)])
def test_sizes_are_not_written_into_a_workbook_either(
    folder: Path, capsys: pytest.CaptureFixture[str], form: str, make: Any
) -> None:
    before = make(ROWS)
    (folder / f"box.{form}").write_bytes(before)

    assert main(["size", f"box.{form}", "--write"]) == 2
    assert "values can only be written into YAML and JSON specs; copy them by hand" in capsys.readouterr().err
    assert (folder / f"box.{form}").read_bytes() == before
