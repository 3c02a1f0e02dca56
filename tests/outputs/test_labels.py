"""Labels: two for each piece of wire, legible, on the sheet where they are said to be."""

from __future__ import annotations

import csv
import io
from itertools import pairwise
from pathlib import Path

import pytest
from pypdf import PdfReader

from rigline.api import read, study_of
from rigline.cli import main
from rigline.cli.labels import MEDIA
from rigline.errors import CommandError
from rigline.layout.text import text_box
from rigline.ordering.pieces import pieces
from rigline.outputs.label_pages import label_pages, label_words, media
from rigline.outputs.labels import COLUMNS, Label, labels, labels_csv
from rigline.study.study import Study

SPECS = Path(__file__).parent.parent.parent / "specs"
DEMOS = ("lights", "trailer", "boat", "cabin", "camper", "faulty")


def studied(demo: str) -> Study:
    """The numbers of a demo spec."""
    return study_of(read(SPECS / f"{demo}.yaml"))


@pytest.mark.parametrize("demo", DEMOS)
def test_every_piece_of_wire_has_a_label_for_either_end(demo: str) -> None:
    study = studied(demo)
    found = labels(study)

    assert len(found) == sum(2 * piece.count for piece in pieces(study))
    assert [(one.here, one.there) for one in found[::2]] == [(one.there, one.here) for one in found[1::2]]
    assert [one.name for one in found[::2]] == [one.name for one in found[1::2]]


def test_a_label_says_where_this_end_lands_where_the_other_goes_how_thick_it_is_and_which_fuse_to_pull() -> None:
    """W1 is cut at its fuse and isolator in the positive, at its shunt in the negative; an AC run is one cable."""
    found = {one.name: one for one in labels(studied("trailer"))[::2]}

    assert found["W1a+"].lines == ("W1a+", "B1 + → F1.in +", "1/0 AWG · F1 125 A")
    assert found["W1a-c-"].lines == ("W1a-c-", "B1 - → RS1.battery -", "1/0 AWG · F1 125 A")
    assert found["W9 L N PE"].narrow_lines == ("W9  12 AWG", "ACP1 way QA", "→ RC1")


def test_labels_of_some_runs_are_those_of_these_runs() -> None:
    assert {one.run for one in labels(studied("trailer"), ["W5", "W2"])} == {"W2", "W5"}


def test_a_run_that_is_not_there_is_named_with_those_that_are() -> None:
    with pytest.raises(CommandError, match="there is no run W99; the runs are W1, W2"):
        labels(studied("trailer"), ["W99"])


@pytest.mark.parametrize("medium", MEDIA)
@pytest.mark.parametrize("demo", DEMOS)
def test_every_line_stays_on_its_label_and_can_be_read(demo: str, medium: str) -> None:
    """Capitals of 1.8 mm at the least, lines that don't touch each other, nothing over the edge."""
    wide, high = media()[medium].label
    for label in labels(studied(demo)):
        words = label_words(label, (0.0, 0.0), (wide, high))
        boxes = [text_box(word) for word in words]
        assert all(x0 > 0 and x1 < wide and y0 > 0 and y1 < high for x0, y0, x1, y1 in boxes), label
        assert all(word.capital_mm >= 1.8 for word in words)
        assert all(word.y_mm + word.capital_mm < after.y_mm for word, after in pairwise(words))
        assert words[0].text.startswith(label.name.split()[0])


@pytest.mark.parametrize("medium", MEDIA)
def test_labels_lie_side_by_side_on_their_sheet(medium: str) -> None:
    """No label over another or over the paper's edge."""
    sheet = media()[medium]
    assert sheet.count == sheet.columns * sheet.rows
    assert (sheet.columns == 1) or sheet.pitch[0] >= sheet.label[0]
    assert (sheet.rows == 1) or sheet.pitch[1] >= sheet.label[1]
    right, low = sheet.corner(sheet.count - 1)
    assert right + sheet.label[0] <= sheet.page[0] and low + sheet.label[1] <= sheet.page[1]


def test_the_media_of_the_help_are_those_of_the_data() -> None:
    assert tuple(media()) == MEDIA


def test_a_sheet_begun_before_goes_on_at_its_first_free_label() -> None:
    found = labels(studied("lights"))
    sheet = media()["letter-80"]
    last = label_pages(found, sheet, start=sheet.count)

    assert len(last) == 2
    assert (last[0].count('class="part"'), last[1].count('class="part"')) == (1, len(found) - 1)
    with pytest.raises(CommandError, match="a page has the labels 1 to 80"):
        label_pages(found, sheet, start=81)


def test_a_name_that_a_spreadsheet_would_run_is_text() -> None:
    label = Label("=W1", "W1", "+B1", "@F1", "10 AWG", "red", ("F1 30 A",))
    rows = list(csv.reader(io.StringIO(labels_csv([label]))))

    assert rows == [list(COLUMNS), ["'=W1", "W1", "'+B1", "'@F1", "10 AWG", "red", "F1 30 A"]]


def test_the_command_writes_pdf_and_csv_and_refuses_what_it_cannot(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    spec, pdf, table = str(SPECS / "lights.yaml"), tmp_path / "l.pdf", tmp_path / "l.csv"

    assert main(["labels", spec, "-o", str(pdf), "-o", str(table), "--on", "strip-12"]) == 0
    assert len(PdfReader(pdf).pages) == len(table.read_text(encoding="utf-8").splitlines()) - 1
    before = pdf.read_bytes()
    assert main(["labels", spec, "-o", str(pdf), "-o", str(tmp_path / "l.png")]) == 2
    assert "give .pdf or .csv" in capsys.readouterr().err
    assert main(["labels", spec, "-o", str(pdf), "--on", "strip-12"]) == 0
    assert pdf.read_bytes() == before
