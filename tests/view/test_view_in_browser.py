"""The page in a browser while its spec changes on disk and in the editor."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from page_opening import CONTRASTS, MIDDLE_OF_WIRE
from playwright.sync_api import Page, expect
from pypdf import PdfReader
from view_running import Running
from view_systems import HOSTILE, LIGHTS, MARKUP, MISSPELT, OVERSIZED

expect.set_options(timeout=30_000)


def save(spec: Path, text: str) -> None:
    """Save as most editors do: a new file is renamed over the old one."""
    new = spec.with_name(f".{spec.name}.new")
    new.write_text(text, encoding="utf-8")
    new.replace(spec)


def written(page: Page) -> str:
    """The text in the editor."""
    return "\n".join(page.locator(".cm-line").all_inner_texts()).replace("\n\n", "\n")


def open_editor(page: Page) -> None:
    """Open the editor and put the cursor at the end of the text."""
    page.click("[id='ui:to-spec']")
    page.click(".cm-content")
    page.keyboard.press("Control+End")


def column(page: Page, number: int) -> list[str]:
    """What stands in a column of the wire table, in the order of the rows in sight."""
    return page.locator(f"[id='ui:table'] tbody tr:visible td:nth-child({number})").all_inner_texts()


def test_a_change_on_disk_is_seen_and_the_sheet_stays_where_it_was(running: Running, shown: Path) -> None:
    page = running.page()
    expect(page.locator(".result")).to_contain_text("no danger")
    page.focus("[id='ui:sheet-1']")
    for key in ("+", "+", "ArrowRight"):
        page.keyboard.press(key)
    before = page.locator(".sheet > svg").get_attribute("style")
    save(shown, OVERSIZED)

    expect(page.locator(".result")).to_contain_text("danger")
    expect(page.locator(".finding.danger").first).to_be_attached()
    assert page.locator(".sheet > svg").get_attribute("style") == before
    save(shown, LIGHTS)
    expect(page.locator(".result")).to_contain_text("no danger")
    assert page.locator(".sheet").count() == 1


def test_a_finding_leads_to_its_flag_and_the_flag_to_its_finding(running: Running) -> None:
    running.settle(OVERSIZED)
    page = running.page()
    page.locator(".finding.danger button").first.click()
    expect(page.locator(".marking > *").first).to_be_attached()
    number = page.get_attribute(".finding.open", "data-number")
    expect(page.locator(".finding.open .more")).to_contain_text("lights.yaml, line 8")
    page.keyboard.press("Escape")
    page.locator(f'.flag[data-finding="{number}"]').click()

    expect(page.locator(f'.finding.open[data-number="{number}"]')).to_be_visible()


def test_a_finger_on_a_phone_brings_the_numbers_of_a_wire(running: Running) -> None:
    page = running.page(phone=True)
    page.wait_for_selector(".sheet")
    page.touchscreen.tap(*page.evaluate(MIDDLE_OF_WIRE, "W2b"))

    expect(page.locator('article[data-item="W2b"]')).to_contain_text("16 AWG")


def test_the_wire_table_sorts_and_filters_and_keeps_that_when_the_spec_changes(running: Running, shown: Path) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    page.click("[id='ui:to-wires']")
    assert column(page, 1) == ["W1a", "W1b", "W2a", "W2b", "W3a"]
    size = page.locator("th button:text-is('Size')")
    size.click()
    assert column(page, 5) == ["16 AWG", "16 AWG", "8 AWG", "8 AWG", "8 AWG"]
    size.click()
    assert column(page, 5) == ["8 AWG", "8 AWG", "8 AWG", "16 AWG", "16 AWG"]
    assert page.locator("th[aria-sort='descending']").inner_text() == "Size"
    page.fill("[id='ui:filter']", "w2")
    assert sorted(column(page, 1)) == ["W2a", "W2b"]
    save(shown, LIGHTS.replace("wire: 16 AWG", "wire: 14 AWG"))

    expect(page.locator("[id='ui:table']")).to_contain_text("14 AWG")
    assert column(page, 5) == ["14 AWG", "14 AWG"]
    assert page.input_value("[id='ui:filter']") == "w2"
    page.fill("[id='ui:filter']", "")
    size.click()
    assert column(page, 1) == ["W1a", "W1b", "W2a", "W2b", "W3a"]
    page.check("[id='ui:flagged']")
    assert "of 5 wires" in page.inner_text("[id='ui:rows']")
    page.uncheck("[id='ui:flagged']")
    page.click("[id='ui:table'] a:text-is('W1b')")
    expect(page.locator('article[data-item="W1b"]')).to_be_visible()
    assert page.locator("[id='ui:wires']").is_visible()


def test_a_broken_spec_is_told_with_its_places_and_the_drawing_is_marked_as_out_of_date(
    running: Running, shown: Path
) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    save(shown, MISSPELT)
    notice = page.locator("[id='ui:notice']")

    expect(notice).to_contain_text("Out of date: the spec has 2 problems")
    expect(notice).to_contain_text(
        "lights.yaml, line 3, column 1 there is no key profil at the top of a spec; did you mean profile?"
    )
    assert page.locator(".sheet:visible").count() == 1
    label = "getComputedStyle(document.querySelector('.desk'), '::before').content"
    assert page.evaluate(label) == '"Out of date"'
    page.click("a:text-is('lights.yaml, line 3, column 1')")
    expect(page.locator(".cm-activeLine")).to_have_text("profil: us-rv")
    save(shown, LIGHTS)
    expect(notice).to_be_hidden()
    assert page.evaluate(label) == "none"


def test_a_spec_that_was_broken_from_the_start_is_drawn_once_it_is_mended(running: Running, shown: Path) -> None:
    save(shown, MISSPELT)
    page = running.page()
    expect(page.locator("[id='ui:notice']")).to_contain_text("2 problems")
    save(shown, LIGHTS)

    expect(page.locator(".sheet")).to_be_visible()
    expect(page.locator("h1")).to_have_text("Cabin lights")


def test_what_is_typed_is_tried_out_and_saved_only_when_asked(running: Running, shown: Path) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    open_editor(page)
    page.keyboard.type("\nrevision: C", delay=5)
    expect(page.locator(".meta")).to_contain_text("Revision C")
    expect(page.locator("[id='ui:notice']")).to_contain_text("Tried out, not saved")
    assert shown.read_text(encoding="utf-8") == LIGHTS
    page.keyboard.press("Control+s")
    expect(page.locator("[id='ui:notice']")).to_be_hidden()
    expect(page.locator("[id='ui:save']")).to_be_disabled()

    assert shown.read_text(encoding="utf-8") == LIGHTS + "\nrevision: C"
    page.keyboard.type("X")
    page.click("[id='ui:revert']")
    expect(page.locator("[id='ui:save']")).to_be_disabled()
    assert shown.read_text(encoding="utf-8") == LIGHTS + "\nrevision: C"


def test_a_problem_in_the_editor_is_marked_at_its_place(running: Running) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    open_editor(page)
    page.keyboard.type("\nprofil: us-rv", delay=5)
    page.keyboard.press("Escape")

    expect(page.locator(".cm-lintRange-error")).to_have_text("profil")
    expect(page.locator("[id='ui:notice']")).to_contain_text("the text in the editor has 1 problem")


@pytest.mark.parametrize("keep", ["take", "keep"])
def test_a_change_made_elsewhere_is_shown_with_both_choices(running: Running, shown: Path, keep: str) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    open_editor(page)
    page.keyboard.type("\n# mine", delay=5)
    theirs = LIGHTS.replace("Cabin lights", "Their lights")
    save(shown, theirs)
    expect(page.locator("[id='ui:conflict']")).to_be_visible()
    page.keyboard.press("Control+s")
    expect(page.locator("[id='ui:conflict']")).to_be_visible()
    assert shown.read_text(encoding="utf-8") == theirs
    assert page.locator("[id='ui:take']").is_visible()
    page.click(f"[id='ui:{keep}']")
    expect(page.locator("[id='ui:conflict']")).to_be_hidden()

    expect(page.locator("[id='ui:save']")).to_be_disabled()
    expect(page.locator("h1")).to_have_text("Their lights" if keep == "take" else "Cabin lights")
    assert shown.read_text(encoding="utf-8") == (theirs if keep == "take" else LIGHTS + "\n# mine")
    assert ("# mine" in written(page)) == (keep == "keep")


def test_an_editor_without_changes_follows_the_file(running: Running, shown: Path) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    open_editor(page)
    save(shown, LIGHTS.replace("Cabin lights", "Lights of the cabin"))

    expect(page.locator(".cm-content")).to_contain_text("title: Lights of the cabin")
    assert page.locator("[id='ui:conflict']").is_hidden()


def test_keys_values_and_ids_are_completed(running: Running) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    for typed, offered in (
        ("\nconditions: {amb", "ambient"),
        ("\nprofile: us-b", "us-boat"),
        ("\nconditions:\n  cold", "coldest"),
        ("\ncomponents:\n  X: {kind: fuse-b", "fuse-block"),
        ("\ncomponents:\n  X: {kind: battery, chem", "chemistry"),
        ("\nruns:\n  - {path: [LT", "LT1"),
    ):
        open_editor(page)
        page.keyboard.insert_text(typed[:-1])
        page.keyboard.type(typed[-1])
        expect(page.locator(".cm-tooltip-autocomplete [aria-selected]")).to_have_text(offered)
        page.keyboard.press("Escape")
        page.click("[id='ui:revert']")


def test_a_word_under_the_pointer_is_explained(running: Running) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    page.click("[id='ui:to-spec']")
    box = page.locator(".cm-line span:text-is('profile')").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 10, box["y"] + 8)
    page.mouse.move(box["x"] + 14, box["y"] + 8)

    expect(page.locator(".cm-tooltip .hint b")).to_have_text("profile")
    assert len(page.inner_text(".cm-tooltip .hint")) > len("profile") + 10


def test_parts_and_energy_stand_beside_the_drawing(running: Running) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    page.click("[id='ui:to-parts']")
    expect(page.locator("[id='ui:parts'] h2").first).to_be_visible()
    expect(page.locator("[id='ui:parts']")).to_contain_text("fuse block")
    page.click("[id='ui:to-energy']")

    expect(page.locator("[id='ui:energy']")).to_contain_text("Wh a day")


def test_names_in_a_spec_are_text_wherever_they_stand(running: Running, shown: Path) -> None:
    running.settle(HOSTILE)
    page = running.page()
    expect(page.locator("h1")).to_have_text(MARKUP)
    for name in ("wires", "parts", "energy"):
        page.click(f"[id='ui:to-{name}']")
    expect(page.locator("[id='ui:parts']")).to_contain_text("<img src=x")
    page.click("[id='ui:to-spec']")
    expect(page.locator(".cm-content")).to_contain_text("<script>")
    save(shown, HOSTILE.replace("profile: us-rv", f"profile: '{MARKUP.replace(chr(39), '')}'"))
    expect(page.locator("[id='ui:notice']")).to_contain_text("<img src=x")

    assert page.title().startswith("✕ <img")
    assert page.locator("img:not(.plot), [onerror]").count() == 0
    assert page.locator("script").count() == 2


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_text_in_sight_stands_out_from_its_ground(running: Running, shown: Path, scheme: str) -> None:
    """Contrast at least 4.5 : 1. Source: WCAG 2.2, success criterion 1.4.3 (level AA)."""
    running.settle(OVERSIZED)
    page = running.page(color_scheme=scheme)
    page.wait_for_selector(".finding")
    poor = []
    for name in ("wires", "parts", "energy", "findings", "spec"):
        page.click(f"[id='ui:to-{name}']")
        poor += page.evaluate(CONTRASTS)["poor"]
    page.wait_for_selector(".cm-content")
    page.click(".cm-content")
    page.keyboard.press("Control+End")
    page.keyboard.type("\n# mine")
    save(shown, MISSPELT)
    expect(page.locator("[id='ui:conflict']")).to_be_visible()
    found = page.evaluate(CONTRASTS)

    assert found["seen"] > 30
    assert poor + found["poor"] == []


def test_on_paper_everything_follows_the_sheets_and_an_outdated_page_says_so(running: Running, shown: Path) -> None:
    running.settle(OVERSIZED)
    page = running.page(color_scheme="dark")
    page.wait_for_selector(".finding")
    expect(page.locator("[id='ui:parts'] table").first).to_be_attached()

    def printed() -> list[str]:
        pages = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True, print_background=True))).pages
        assert [round(float(size) / 72 * 25.4) for size in pages[0].mediabox[2:]] == [432, 279]
        assert {round(float(one.mediabox.width) / 72 * 25.4) for one in pages[1:]} <= {216, 432}
        return [re.sub(r"\s+", " ", one.extract_text()) for one in pages]

    words = " ".join(printed())
    for wanted in ("Wires", "Cut list", "Wh a day", "Cautions", "Not assessed"):
        assert wanted in words
    assert words.rindex("lights.yaml, line 8") < words.index("Cut list")
    assert page.locator(".desk > .list").count() == 3
    for unwanted in ("Save", "Only with findings", "Out of date", "Zoom"):
        assert unwanted not in words
    save(shown, MISSPELT)
    expect(page.locator("[id='ui:notice']")).to_be_visible()
    pages = printed()
    assert "Out of date: not what the spec says now." in pages[0]
    assert sum("Out of date" in one for one in pages) >= 5


def test_controls_are_large_enough_for_fingers_and_have_names(running: Running) -> None:
    """At least 24 by 24 CSS pixels. Source: WCAG 2.2, success criterion 2.5.8 (level AA)."""
    page = running.page(phone=True)
    page.wait_for_selector(".sheet")
    small, nameless = [], []
    for name in ("wires", "spec"):
        page.click(f"[id='ui:to-{name}']")
        small += page.eval_on_selector_all(
            "button, input, [id='ui:table'] td a",
            """all => all.filter(one => one.checkVisibility()).map(one => [one.outerHTML, one.getBoundingClientRect()])
              .filter(([, box]) => box.width < 24 && box.width || box.height < 24).map(([html]) => html)""",
        )
        nameless += page.eval_on_selector_all(
            "button, input",
            """all => all
              .filter(one => !(one.getAttribute('aria-label') || one.labels?.length || one.textContent.trim()))
              .map(one => one.outerHTML)""",
        )

    assert (small, nameless) == ([], [])


def test_the_page_says_when_the_command_has_ended(running: Running) -> None:
    page = running.page()
    page.wait_for_selector(".sheet")
    assert running.end_command() == 0

    expect(page.locator("[id='ui:notice']")).to_contain_text("Rigline has ended")
