"""The page as a file: whole in itself, closed to everything else, and the same every time."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from helpers import study_of

from rigline.checks.run import Report, run_checks
from rigline.cli import main
from rigline.outputs.draw import draw_svg
from rigline.outputs.json_report import schedule_json
from rigline.outputs.page.assets import script_json
from rigline.outputs.page.build import drawing_page
from rigline.outputs.page.facts import page_facts
from rigline.study.study import Study

SPECS = sorted((Path(__file__).parent.parent.parent / "specs").glob("*.yaml"))
LARGEST_BYTES = 1_500_000
"""What a phone on a weak line still gets in a mail."""


class Parts(HTMLParser):
    """The texts of the elements that a browser would run or apply, and every address in the page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.texts: dict[str, list[str]] = {"style": [], "script": [], "json": []}
        self.policy = ""
        self.addresses: list[str] = []
        self._inside = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        """Remembers what matters of a tag."""
        given = dict(attributes)
        if given.get("http-equiv") == "Content-Security-Policy":
            self.policy = given["content"] or ""
        self.addresses += [value or "" for name, value in attributes if name in ("href", "src", "action", "srcset")]
        if tag in ("style", "script"):
            self._inside = "json" if given.get("type") == "application/json" else tag
            self.texts[self._inside].append("")

    def handle_endtag(self, tag: str) -> None:
        """Leaves a style or script."""
        if tag in ("style", "script"):
            self._inside = ""

    def handle_data(self, data: str) -> None:
        """Gathers the text of a style or script."""
        if self._inside:
            self.texts[self._inside][-1] += data


@cache
def studied(text: str, name: str = "spec.yaml") -> tuple[Study, Report, tuple[str, ...]]:
    """Numbers, findings and sheets of a spec's text; kept, since many tests look at them."""
    numbers = study_of(text, name)
    found = run_checks(numbers)
    return numbers, found, tuple(draw_svg(numbers, found))


def page_of(text: str, name: str = "spec.yaml") -> str:
    """The page of a spec's text."""
    return drawing_page(*studied(text, name)).decode()


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_a_page_is_the_same_every_time_and_small_enough_to_send(spec: Path) -> None:
    text = spec.read_text(encoding="utf-8")
    first = page_of(text)
    studied.cache_clear()

    assert page_of(text) == first
    assert len(first.encode()) < LARGEST_BYTES


def test_the_policy_lets_in_this_style_and_this_script_and_nothing_else() -> None:
    page = Parts(page_of(SPECS[0].read_text(encoding="utf-8")))

    def named(text: str) -> str:
        return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"

    assert {name: len(texts) for name, texts in page.texts.items()} == {"style": 1, "script": 1, "json": 1}
    assert page.policy.split("; ") == [
        "default-src 'none'",
        f"style-src {named(page.texts['style'][0])}",
        f"script-src {named(page.texts['script'][0])}",
        "font-src data:",
        "base-uri 'none'",
        "form-action 'none'",
    ]


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_every_address_leads_to_the_page_itself(spec: Path) -> None:
    page = Parts(page_of(spec.read_text(encoding="utf-8")))

    assert [address for address in page.addresses if not address.startswith("#")] == []
    assert re.findall(r"url\((?!data:font/woff2;base64,)", page.texts["style"][0]) == []
    assert "@import" not in page.texts["style"][0]


def test_data_in_a_script_can_neither_end_it_nor_begin_a_comment() -> None:
    value = {"name": "</script><script>alert(1)</script><!-- ]]> & \u2028"}
    text = script_json(value)

    assert json.loads(text) == value
    assert [character for character in "<>&\u2028" if character in text] == []


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_what_the_page_says_of_a_wire_is_what_the_schedule_says(spec: Path) -> None:
    numbers, found, _ = studied(spec.read_text(encoding="utf-8"))
    items = {item["id"]: item for item in page_facts(numbers, found)["items"]}
    schedule = json.loads(schedule_json(numbers))

    for segment in schedule["segments"]:
        told = {row["key"]: row["value"] for row in items[segment["id"]]["rows"] if "key" in row}
        segment["protected_by"] = ", ".join(segment["protected_by"]) or "no device"
        assert told == {key: segment[key] for key in told}
        assert told.keys() >= ({"wire", "length_m"} if segment["current_a"] is None else {"current_a", "ampacity_a"})
    for node in schedule["nodes"]:
        told = {row["key"]: row["value"] for row in items[node["id"]]["rows"] if "key" in row}
        assert told == {key: node[key] for key in told}


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_everything_on_the_drawing_has_its_numbers_on_the_page(spec: Path) -> None:
    numbers, found, svgs = studied(spec.read_text(encoding="utf-8"))
    drawn = set(re.findall(r'data-id="([^"]+)"', "".join(svgs)))

    assert drawn - {item["id"] for item in page_facts(numbers, found)["items"]} == set()


def test_a_finding_stands_with_remedy_place_and_line_of_the_spec() -> None:
    text = SPECS[[spec.stem for spec in SPECS].index("faulty")].read_text(encoding="utf-8")
    page = page_of(text, "faulty.yaml")
    lines = text.split("\n")

    for finding in studied(text, "faulty.yaml")[1].findings:
        assert f"faulty.yaml, line {finding.line}<pre>" in page
        assert f"<code>{finding.rule}</code>" in page
        assert f"<pre>{' '.join(lines[finding.line - 1].split())}" in page


def test_the_folder_of_the_spec_stays_out_of_the_page() -> None:
    text = SPECS[0].read_text(encoding="utf-8")

    assert "/home/somebody" not in page_of(text, "/home/somebody/van/spec.yaml")


def test_the_command_writes_the_page_beside_the_drawing(tmp_path: Path, in_project: Path) -> None:
    names = [tmp_path / "lights.html", tmp_path / "lights.svg"]

    assert main(["draw", "specs/lights.yaml", "-o", str(names[0]), "-o", str(names[1])]) == 0
    assert names[0].read_text(encoding="utf-8").startswith("<!doctype html>")
    assert names[1].read_text(encoding="utf-8")[5:60] in names[0].read_text(encoding="utf-8")
