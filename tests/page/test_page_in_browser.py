"""The page in a browser, used as people use it: with a finger, a mouse, keys alone, on paper, and without a script."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from page_opening import CONTRASTS, MIDDLE_OF_WIRE, PHONE, ROOT, Open, drawing
from playwright.sync_api import Page
from pypdf import PdfReader

from rigline.layout.text import text_width_mm
from rigline.outputs.json_report import schedule_json

TRAILER, BOAT, FAULTY = (ROOT / "specs" / f"{name}.yaml" for name in ("trailer", "boat", "faulty"))

HOSTILE = """\
rigline: 1
title: "</script><script>document.title='owned'</script><!--"
revision: '"><img src=x onerror=alert(1)>'
profile: us-boat
body: plastic
components:
  B1: {kind: battery, name: "<script>document.title='owned'</script>", chemistry: agm, voltage: 12 V, capacity: 60 Ah}
  F1: {kind: fuse, style: blade, rating: 70 A, name: "</title></style><svg onload=alert(1)>", place: "</pre><b>bold"}
  LT1: {kind: dc-load, name: "${facts} $policy {{x}}", power: 48 W, note: "javascript:alert(1)"}
runs:
  - {id: W1, path: [B1, F1, LT1], lengths: [100 mm, 2 m], wire: 16 AWG}
"""


def wire_numbers(spec: Path, id: str) -> dict[str, Any]:
    """A wire's line of the schedule's JSON."""
    lines = json.loads(schedule_json(drawing(spec).study))["segments"]
    return next(line for line in lines if line["id"] == id)


def shown_numbers(page: Page) -> dict[str, str]:
    """The exact numbers that the panel shows, by their key in the schedule."""
    found: dict[str, str] = page.eval_on_selector_all(
        "article data", "all => Object.fromEntries(all.map(one => [one.dataset.key, one.value]))"
    )
    return found


def assert_shows(page: Page, spec: Path, id: str) -> None:
    """The panel shows a wire with the numbers of the schedule."""
    page.wait_for_selector(f'article[data-item="{id}"]')
    numbers = wire_numbers(spec, id)
    shown = shown_numbers(page)
    assert float(shown["current_a"]) == numbers["current_a"]
    assert float(shown["ampacity_a"]) == numbers["ampacity_a"]
    assert float(shown["drop_v"]) == numbers["drop_v"]
    assert float(shown["length_m"]) == numbers["length_m"]
    assert shown["wire"] == numbers["wire"]
    assert shown["protected_by"] == ", ".join(numbers["protected_by"])


def transform(page: Page) -> str:
    """How the sheet in sight is moved and scaled."""
    return str(page.eval_on_selector(".sheet:not([hidden]) > svg", "svg => svg.style.transform"))


def test_a_click_on_a_wire_shows_its_numbers_and_how_they_come_about(opened: Open) -> None:
    page = opened(TRAILER)
    page.mouse.click(*page.evaluate(MIDDLE_OF_WIRE, "W4b"))

    assert_shows(page, TRAILER, "W4b")
    article = page.inner_text("article")
    assert "3.75 A: all loads on the batteries" in article
    assert "10 AWG: it stands behind 30 A" in article
    assert "{id: W4, path: [BUS1, F3, DC1], lengths: [0.15 m, 1.5 m]}" in article
    assert page.locator(".sheet:not([hidden]) .marking path").count() == 2


def test_every_wire_that_is_tapped_shows_itself(opened: Open) -> None:
    page = opened(TRAILER)
    wires = page.eval_on_selector_all(".wire", "all => all.map(one => one.dataset.id)")
    shown = {}
    for id in wires:
        page.mouse.click(*page.evaluate(MIDDLE_OF_WIRE, id))
        shown[id] = page.evaluate("() => decodeURIComponent(location.hash)")

    assert shown == {id: f"#/item/{id}" for id in wires}


def test_a_tap_on_a_phone_brings_the_numbers_from_below(opened: Open) -> None:
    page = opened(TRAILER, phone=True)
    before = page.locator("aside").bounding_box()
    page.touchscreen.tap(*page.evaluate(MIDDLE_OF_WIRE, "W4b"))

    assert_shows(page, TRAILER, "W4b")
    after = page.locator("aside").bounding_box()
    assert before is not None
    assert after is not None
    assert before["height"] < 60
    assert after["height"] > 400
    assert after["x"] + after["width"] <= PHONE["width"]
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    page.wait_for_function("document.querySelector('.marking').getBoundingClientRect().bottom < innerHeight / 2")


def test_a_tap_on_a_component_shows_its_findings_and_its_wires(opened: Open) -> None:
    page = opened(FAULTY)
    page.locator('.component[data-id="F1"] text').first.click()

    page.wait_for_selector('article[data-item="F1"]')
    assert page.locator("article .found").count() == 6
    page.click('article a:text-is("W1b")')
    page.wait_for_selector('article[data-item="W1b"]')
    page.go_back()
    page.wait_for_selector('article[data-item="F1"]')


def test_a_finding_leads_to_its_flag_its_place_and_its_line(opened: Open) -> None:
    page = opened(FAULTY)
    page.click('.finding[data-number="4"] button')

    more = page.inner_text('.finding[data-number="4"] .more')
    assert "faulty.yaml, line 14" in more
    assert "F1: {kind: fuse, name: Main fuse, style: bolt-down, rating: 300 A}" in more
    # The flag, F1 and W1a (edge and ink).
    assert page.locator(".sheet:not([hidden]) .marking > *").count() == 4
    page.locator('.flag[data-finding="12"]').click()
    page.wait_for_selector('.finding.open[data-number="12"]')


def test_find_takes_an_id_a_name_or_a_kind(opened: Open) -> None:
    page = opened(TRAILER, phone=True)
    page.click("[role=tab]:text-is('Find')")
    page.fill("input", "bench fuses")
    assert page.locator(".index a").all_inner_texts() == ["DC1\nBench fuses\nfuse block"]
    page.fill("input", "w7b")
    page.press("input", "Enter")

    assert_shows(page, TRAILER, "W7b")


def test_sheets_are_turned_by_tab_and_by_what_stands_on_them(opened: Open) -> None:
    page = opened(BOAT)
    assert page.locator(".sheet:visible").get_attribute("aria-label") == "Sheet 1 of 2"
    page.click('[role=tab]:text-is("Sheet 2")')
    assert page.locator(".sheet:visible").get_attribute("aria-label") == "Sheet 2 of 2"
    only_first = page.evaluate("""() => {
      const [one, two] = [...document.querySelectorAll('.sheet')].map(sheet => new Set(
        [...sheet.querySelectorAll('[data-id]')].map(group => group.dataset.id)));
      return [...one].find(id => !two.has(id));
    }""")
    page.evaluate("id => { location.hash = `#/item/${id}` }", only_first)
    page.wait_for_selector(f'article[data-item="{only_first}"]')
    assert page.locator(".sheet:visible").get_attribute("aria-label") == "Sheet 1 of 2"


def test_wheel_drag_and_buttons_move_the_sheet_and_choose_nothing(opened: Open) -> None:
    page = opened(TRAILER)
    fitted = transform(page)
    page.mouse.move(500, 500)
    page.mouse.wheel(0, -400)
    page.wait_for_function("old => document.querySelector('.sheet > svg').style.transform !== old", arg=fitted)
    nearer = transform(page)
    page.mouse.down()
    page.mouse.move(560, 540, steps=3)
    page.mouse.up()
    moved = transform(page)
    page.click("[aria-label='Whole sheet']")

    assert len({fitted, nearer, moved}) == 3
    assert transform(page) == fitted
    assert page.evaluate("location.hash") == ""


def test_two_fingers_zoom_round_the_point_between_them(opened: Open) -> None:
    page = opened(TRAILER, phone=True)
    touch = page.context.new_cdp_session(page)

    def fingers(kind: str, spread: float) -> None:
        points = [{"x": 195 - spread, "y": 400, "id": 0}, {"x": 195 + spread, "y": 400, "id": 1}]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points if spread else []})

    middle = """() => {
      const svg = document.querySelector('.sheet > svg'), box = svg.getBoundingClientRect();
      return [(195 - box.left) / box.width, (400 - box.top) / box.height, box.width];
    }"""
    before = page.evaluate(middle)
    fingers("touchStart", 40)
    for spread in (60, 80, 100, 120):
        fingers("touchMove", spread)
    fingers("touchEnd", 0)
    after = page.evaluate(middle)

    assert after[2] / before[2] == pytest.approx(3, rel=0.15)
    assert after[:2] == pytest.approx(before[:2], abs=0.02)
    assert page.evaluate("location.hash") == ""


def test_the_keyboard_alone_reaches_everything(opened: Open) -> None:
    page = opened(FAULTY)
    reached = []
    for _ in range(80):
        page.keyboard.press("Tab")
        at = page.evaluate("""() => {
          const at = document.activeElement;
          return [at.id || at.textContent.trim(), parseFloat(getComputedStyle(at).outlineWidth)];
        }""")
        if at[1] < 2:
            break
        reached.append(at[0])
    for wanted in ("ui:tab-1", "ui:out", "ui:in", "ui:fit", "ui:sheet-1", "ui:to-findings"):
        assert wanted in reached
    assert any(words.startswith("29") for words in reached)

    page.focus("[id='ui:sheet-1']")
    before = transform(page)
    page.keyboard.press("+")
    page.keyboard.press("ArrowRight")
    assert transform(page) != before
    page.keyboard.press("n")
    page.wait_for_selector("article")
    first = page.get_attribute("article", "data-item")
    page.keyboard.press("n")
    page.wait_for_function("id => document.querySelector('article').dataset.item !== id", arg=first)
    assert page.inner_text("[id='ui:spoken']").startswith(str(page.get_attribute("article", "data-item")))
    page.keyboard.press("Escape")
    page.wait_for_selector("article", state="detached")
    page.focus("[id='ui:to-numbers']")
    page.keyboard.press("End")
    assert page.locator("[id='ui:cautions']").is_visible()


@pytest.mark.parametrize("phone", [False, True], ids=["desktop", "phone"])
def test_the_first_caution_is_always_in_sight_and_all_are_one_tap_away(opened: Open, phone: bool) -> None:
    page = opened(TRAILER, phone=phone)
    assert page.locator("footer").is_visible()
    page.click("footer a")

    assert page.locator(".cautions li:visible").count() == 4


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_text_stands_out_from_its_ground(opened: Open, scheme: str) -> None:
    """Contrast at least 4.5 : 1. Source: WCAG 2.2, success criterion 1.4.3 (level AA)."""
    page = opened(FAULTY, color_scheme=scheme)
    for address in ("#/findings", "#/finding/4", "#/item/W1b", "#/item/F1", "#/find", "#/cautions"):
        page.evaluate("address => { location.hash = address }", address)
        page.wait_for_timeout(30)
        found = page.evaluate(CONTRASTS)
        assert found["seen"] > 10
        assert found["poor"] == []
    assert page.eval_on_selector(".sheet svg > rect", "rect => getComputedStyle(rect).fill") == "rgb(255, 255, 255)"


def test_controls_have_names_and_sizes_for_fingers_and_ids_are_unique(opened: Open) -> None:
    """At least 24 by 24 CSS pixels. Source: WCAG 2.2, success criterion 2.5.8 (level AA)."""
    page = opened(FAULTY, phone=True)
    small = page.eval_on_selector_all(
        "button, input",
        """all => all.filter(one => one.checkVisibility()).map(one => [one.id, one.getBoundingClientRect()])
          .filter(([, box]) => box.width < 24 || box.height < 24).map(([id]) => id)""",
    )
    nameless = page.eval_on_selector_all(
        "button, [role=tab], [role=tabpanel], [role=tablist], [role=button]",
        """all => all.filter(one => !(one.getAttribute('aria-label') || one.getAttribute('aria-labelledby')
          || one.textContent.trim())).map(one => one.outerHTML)""",
    )
    twice = page.evaluate("""() => {
      const ids = [...document.querySelectorAll('[id]')].map(one => one.id);
      return ids.filter((id, at) => ids.indexOf(id) !== at);
    }""")
    lost = page.eval_on_selector_all(
        "[aria-controls], [aria-labelledby]",
        """all => all.flatMap(one => [one.getAttribute('aria-controls'), one.getAttribute('aria-labelledby')])
          .filter(id => id && !document.getElementById(id))""",
    )

    assert (small, nameless, twice, lost) == ([], [], [], [])


def test_names_from_a_spec_are_text_wherever_they_stand(opened: Open, tmp_path: Path) -> None:
    spec = tmp_path / "hostile.yaml"
    spec.write_text(HOSTILE, encoding="utf-8")
    page = opened(spec)
    page.wait_for_selector(".finding")

    assert page.title() == "</script><script>document.title='owned'</script><!--"
    for id, words in (
        ("B1", "<script>document.title='owned'</script>"),
        ("F1", "</title></style><svg onload=alert(1)>"),
        ("F1", "</pre><b>bold"),
        ("LT1", "${facts} $policy {{x}}"),
        ("LT1", "javascript:alert(1)"),
    ):
        page.evaluate("id => { location.hash = `#/item/${id}` }", id)
        page.wait_for_selector(f'article[data-item="{id}"]')
        assert words in page.inner_text("article")
    page.evaluate("location.hash = '#/item/%E0%A4%A'")
    page.evaluate("location.hash = '#/item/__proto__'")
    assert page.locator("script").count() == 2
    assert page.locator("img, [onload], [onerror], aside b:text-is('bold'), .sheet svg svg").count() == 0
    assert page.locator("a[href^='javascript']").count() == 0


def test_the_lettering_is_as_wide_as_it_was_measured(opened: Open) -> None:
    page = opened(BOAT)
    page.evaluate("document.fonts.ready")
    faces = page.evaluate("[...document.fonts].map(face => [face.family, face.weight, face.status])")
    texts = page.eval_on_selector_all(
        ".sheet:not([hidden]) text",
        """all => all.map(one => [one.textContent, Number(one.getAttribute('font-size')),
          one.getAttribute('font-weight') === 'bold', one.getComputedTextLength()])""",
    )

    assert sorted(faces) == [["Liberation Sans", "bold", "loaded"], ["Liberation Sans", "normal", "loaded"]]
    assert len(texts) > 50
    for text, size, bold, width in texts:
        # Kerning makes a text narrower, never wider.
        assert width <= text_width_mm(text, size * 0.688, bold) * 1.003
        assert width >= text_width_mm(text, size * 0.688, bold) * 0.96


def test_on_paper_each_sheet_has_a_page_of_its_size_and_the_findings_follow_as_text(opened: Open) -> None:
    page = opened(FAULTY, color_scheme="dark")
    page.focus("[id='ui:sheet-1']")
    page.keyboard.press("+")
    pages = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True, print_background=True))).pages
    sizes = [
        (round(float(one.mediabox.width) / 72 * 25.4), round(float(one.mediabox.height) / 72 * 25.4)) for one in pages
    ]
    words = "".join(one.extract_text() for one in pages)

    assert sizes[:2] == [(432, 279), (432, 279)]
    assert set(sizes[2:]) == {(216, 279)}
    assert "Sheet" in pages[0].extract_text()
    assert "Fit F1 (Main fuse) with 170 A or less" in words
    assert "Not assessed" in words
    assert "Zoom" not in words
    assert "Keys on the drawing" not in words
    page.emulate_media(media="print")
    assert page.eval_on_selector(".sheet > svg", "svg => getComputedStyle(svg).transform") == "none"
    assert page.eval_on_selector("body", "body => getComputedStyle(body).color") == "rgb(0, 0, 0)"


def test_without_a_script_the_drawing_the_findings_and_the_cautions_can_be_read(opened: Open) -> None:
    page = opened(FAULTY, java_script_enabled=False)

    assert page.locator(".sheet:visible").count() == 2
    assert page.locator(".finding .more:visible").count() == 29
    assert page.locator(".cautions li:visible").count() == 4
    assert page.locator("input:visible, .over:visible, .bar:visible").count() == 0
