"""The three forms of the notes: names are plain text in each, and each holds every chapter."""

from __future__ import annotations

import io
import re
import sys
from collections import Counter
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token
from notes.hostile import TEXTS, hostile_spec
from pypdf import PdfReader

import rigline
from rigline.checks.run import run_checks
from rigline.errors import CommandError
from rigline.model.build import build_system
from rigline.outputs.notes.content import SECTIONS
from rigline.results.notes import BuildNotes
from rigline.spec.load import load_document
from rigline.spec.reading import read_tree

SPECS = Path(__file__).parent.parent.parent / "specs"
CHAPTERS = ["Cautions", "Drawing", *(title for _, title, _ in SECTIONS), "Glossary"]


@cache
def hostile() -> BuildNotes:
    """Notes of the hostile spec."""
    tree = read_tree(hostile_spec(), "hostile.yaml", "yaml")
    return rigline.notes(build_system(load_document(tree), tree))


@cache
def trailer() -> BuildNotes:
    """Notes of a demo."""
    return rigline.notes(rigline.read(SPECS / "trailer.yaml"))


def compact(text: str) -> str:
    """A text without blanks and without places to break a line."""
    return re.sub(r"[\s\u200b]", "", text)


class Page(HTMLParser):
    """What a browser makes of the page: elements, attributes, texts."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: Counter[str] = Counter()
        self.attributes: set[str] = set()
        self.titles: list[str] = []
        self.text = ""
        self._in = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.attributes |= {name for name, _ in attrs}
        self._in = tag

    def handle_data(self, data: str) -> None:
        if self._in not in ("script", "style"):
            self.text += data
        if self._in == "h2":
            self.titles.append(data)
            self._in = ""


def leaves(markdown: str) -> list[Token]:
    """Every inline token of a document, as CommonMark with tables has it."""
    tokens = MarkdownIt("commonmark").enable(["table", "strikethrough"]).parse(markdown)
    return [leaf for token in tokens for leaf in (token.children or [token])]


# Names are text


def test_a_browser_shows_every_hostile_name_and_runs_none() -> None:
    page = Page(hostile().html().decode())

    assert [text for text in TEXTS if text not in page.text] == []
    assert (page.tags["script"], page.tags["img"], page.tags["iframe"]) == (1, 0, 0)
    assert [name for name in page.attributes if name.startswith("on")] == []


def test_markdown_shows_every_hostile_name_and_takes_none_for_markup() -> None:
    found = leaves(hostile().markdown(["a-sheet-1.svg"]))
    text = "".join(leaf.content for leaf in found if leaf.type in ("text", "text_special"))

    assert [name for name in TEXTS if name not in text] == []
    assert {leaf.type for leaf in found if leaf.type.startswith(("code", "link", "html", "em", "s_", "fence"))} == set()
    assert [leaf.attrs["src"] for leaf in found if leaf.type == "image"] == ["a-sheet-1.svg"]


def test_no_dollar_of_a_name_can_begin_mathematics_in_markdown() -> None:
    """Source of the rule: dialects that read $...$ as mathematics take an escaped dollar for a dollar."""
    assert re.findall(r"(?<!\\)\$", hostile().markdown()) == []


def test_a_pdf_shows_every_hostile_name_and_sets_none_as_markup() -> None:
    reader = PdfReader(io.BytesIO(hostile().pdf()))
    text = compact("".join(page.extract_text() for page in reader.pages))

    assert [name for name in TEXTS if compact(name) not in text] == []


# Everything is there


def test_a_page_has_every_chapter_in_order() -> None:
    assert Page(trailer().html().decode()).titles == CHAPTERS


def test_markdown_has_every_chapter_in_order() -> None:
    assert re.findall(r"^## (.*)$", trailer().markdown(), re.MULTILINE) == CHAPTERS


def test_a_pdf_has_every_chapter_in_its_contents_and_in_its_outline() -> None:
    reader = PdfReader(io.BytesIO(trailer().pdf()))
    outline = [str(item["/Title"]) for item in reader.outline if not isinstance(item, list)]

    assert outline == ["Cautions", "One-line diagram, sheet 1 of 1", *CHAPTERS[2:]]
    assert reader.metadata is not None
    assert reader.metadata.title == f"Build notes: {trailer().document.title}"


def test_the_sheets_of_a_pdf_are_vectors_as_large_as_they_were_drawn() -> None:
    """Tabloid is 11 x 17 in (ASME Y14.1 size B); a point is 1/72 in."""
    reader = PdfReader(io.BytesIO(trailer().pdf()))
    sheet = reader.pages[1]

    assert [len(page.images) for page in reader.pages] == [0] * len(reader.pages)
    assert (round(float(sheet.mediabox.width)), round(float(sheet.mediabox.height))) == (17 * 72, 11 * 72)
    assert "F1 125 A, class T" in sheet.extract_text()


def test_a_pdf_is_the_same_in_every_run() -> None:
    assert trailer().pdf() == trailer().pdf()


def test_a_page_asks_the_network_for_nothing() -> None:
    html = trailer().html().decode()

    assert "default-src 'none'" in html
    assert re.findall(r'(?:src|href)="(?!#)[^"]*"', html) == []


def test_every_test_has_a_box_to_tick_and_room_to_write() -> None:
    page = Page(trailer().html().decode())
    facts = trailer().facts
    tests = sum(len(group.tests) for group in (*facts.dead, *facts.live))
    tasks = sum(len(step.tasks) for step in facts.steps)

    boxes = trailer().html().decode().count('type="checkbox"')
    fields = trailer().html().decode().count('type="text"')
    assert page.tags["input"] == boxes + fields
    assert boxes > tests + tasks
    assert fields > tests


def test_without_the_typesetter_a_pdf_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "typst", None)

    with pytest.raises(CommandError, match=r'pip install "rigline\[notes\]"'):
        hostile().pdf()


def test_a_plan_with_dangers_has_no_steps_with_voltage_on() -> None:
    """Common practice: nothing is energised before what is wrong on paper is mended."""
    found = rigline.notes(rigline.read(SPECS / "faulty.yaml"))

    assert run_checks(found.drawing.study).findings[0].severity == "danger"
    assert found.facts.live == ()
    assert found.facts.steps[-1].tasks[-1].stops
    assert "Left out: the plan has findings that are dangers or faults." in found.markdown()


def test_notes_can_be_made_twice_though_a_package_has_the_name_of_the_function() -> None:
    system = rigline.read(SPECS / "lights.yaml")

    assert rigline.notes(system).markdown() == rigline.notes(system).markdown()
    assert callable(rigline.energy)
