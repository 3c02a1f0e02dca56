"""The gallery equals what the program makes now, and every drawing says what its system holds."""

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree

import pytest
from gallery_making import ABOUT, gallery_files, gallery_page, symbol_files
from PIL import Image, ImageChops
from pypdf import PdfReader

import rigline
from rigline.findings import Severity
from rigline.model.describe import amount

ROOT = Path(__file__).parent.parent.parent
SPECS = sorted((ROOT / "specs").glob("*.yaml"))
SOUND = [spec for spec in SPECS if spec.stem != "faulty"]
SVG = "{http://www.w3.org/2000/svg}"


def texts(svg: bytes) -> list[str]:
    """All texts of a drawing."""
    return ["".join(element.itertext()) for element in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def same(name: str, made: bytes, kept: bytes) -> bool:
    """SVG and text to the byte; PDF by size and words; PNG by size and, nearly, by pixel: renderers differ."""
    if name.endswith(".pdf"):
        ours, theirs = PdfReader(io.BytesIO(made)), PdfReader(io.BytesIO(kept))
        return [(p.mediabox, p.extract_text()) for p in ours.pages] == [
            (p.mediabox, p.extract_text()) for p in theirs.pages
        ]
    if name.endswith(".png"):
        ours_px, theirs_px = Image.open(io.BytesIO(made)).convert("L"), Image.open(io.BytesIO(kept)).convert("L")
        if ours_px.size != theirs_px.size:
            return False
        histogram = ImageChops.difference(ours_px, theirs_px).histogram()
        return sum(histogram[64:]) <= 0.002 * sum(histogram)
    return made == kept


def test_every_demo_spec_is_shown_and_nothing_else() -> None:
    assert sorted(ABOUT) == [spec.stem for spec in SPECS]


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_the_gallery_is_what_the_program_makes(spec: Path, in_project: Path, update_gallery: bool) -> None:
    files = gallery_files(spec.relative_to(ROOT))
    gallery = ROOT / "gallery"
    if update_gallery:
        for old in [*gallery.glob(f"{spec.stem}.*"), *gallery.glob(f"{spec.stem}-[0-9].*")]:
            old.unlink()
        for name, content in files.items():
            (gallery / name).write_bytes(content)
    kept = {name: (gallery / name).read_bytes() if (gallery / name).is_file() else b"" for name in files}

    assert [name for name in files if not same(name, files[name], kept[name])] == []


def test_the_symbol_sheets_and_the_page_are_up_to_date(in_project: Path, update_gallery: bool) -> None:
    gallery = ROOT / "gallery"

    def sheets_of(stem: str) -> list[str]:
        return sorted(path.name for path in [*gallery.glob(f"{stem}.svg"), *gallery.glob(f"{stem}-*.svg")])

    sheets = {spec.stem: sheets_of(spec.stem)
              for spec in SPECS}  # fmt: skip
    files = {**symbol_files(), "README.md": gallery_page(sheets)}
    if update_gallery:
        for name, content in files.items():
            (gallery / name).write_bytes(content)

    assert [name for name, content in files.items() if (gallery / name).read_bytes() != content] == []


def test_the_gallery_holds_no_leftovers(in_project: Path) -> None:
    known = {name for spec in SPECS for name in gallery_files(spec.relative_to(ROOT))} | {*symbol_files(), "README.md"}

    assert {path.name for path in (ROOT / "gallery").iterdir() if path.is_file()} == known


@pytest.mark.parametrize("spec", SOUND, ids=lambda spec: spec.stem)
def test_a_sound_demo_has_no_danger_and_no_fault(spec: Path) -> None:
    report = rigline.check(rigline.read(spec))

    assert [(f.rule, f.message) for f in report.findings if f.severity.rank <= Severity.FAULT.rank] == []


def test_the_faulty_demo_shows_the_three_families() -> None:
    report = rigline.check(rigline.read(ROOT / "specs" / "faulty.yaml"))
    dangers = {f.rule for f in report.findings if f.severity == Severity.DANGER}

    assert {rule[:3] for rule in dangers} >= {"oc-", "gb-", "rt-"}


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_a_drawing_names_every_component_gauge_and_rating(spec: Path) -> None:
    """A golden file approved by mistake can't hide a missing label: what the system holds must stand there as text."""
    system = rigline.read(spec)
    numbers = rigline.study_of(system)
    shown = " ".join(text for svg in rigline.draw(system).svgs for text in texts(svg.encode()))

    missing = [id for id in system.components if id not in shown]
    missing += [one.segment.id for one in numbers.segments if one.segment.id not in shown]
    missing += [str(one.size) for one in numbers.segments if one.size is not None and str(one.size) not in shown]
    missing += [
        amount(rating, "a") for id, rating in numbers.sizes.ratings.items()
        if rating is not None and f"{rating:g} A" not in shown and amount(rating, "a") not in shown
    ]  # fmt: skip
    assert missing == []


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_every_component_and_segment_is_a_group_with_a_title(spec: Path) -> None:
    system = rigline.read(spec)
    components: list[str] = []
    segments: list[str] = []
    for svg in rigline.draw(system).svgs:
        for group in ElementTree.fromstring(svg.encode()).iter(f"{SVG}g"):
            title = group.find(f"{SVG}title")
            if group.get("class", "").split()[:1] == ["component"] and title is not None and title.text:
                components.append(title.text.split(",")[0])
            if group.get("class", "").split()[:1] == ["wire"] and title is not None and title.text:
                segments.append(title.text.split(" ")[0])

    assert sorted(set(system.components) - set(components)) == []
    assert sorted({s.id for s in system.segments} - set(segments)) == []
