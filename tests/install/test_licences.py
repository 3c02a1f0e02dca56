"""The page of licences names all that ships inside the package and all that is installed with it."""

from __future__ import annotations

import re
from pathlib import Path

from installing import ROOT, extras_of, metadata_of, needed
from licences_making import PAGE, licence_of, licences_page

COPYLEFT = re.compile(r"(?<!L)A?GPL")
"""Licences that would bind a user's own work; the LGPL, which binds a library only, may be a dependency's."""


def test_every_library_is_on_the_page_with_the_licence_that_it_states(wheel: Path, update_gallery: bool) -> None:
    """A library that another version or system doesn't bring along may stand there too."""
    page = ROOT / PAGE
    if update_gallery:
        page.write_text(licences_page(metadata_of(wheel)), encoding="utf-8")
    listed = set(page.read_text(encoding="utf-8").splitlines())

    assert set(licences_page(metadata_of(wheel)).splitlines()) - listed == set()


def test_every_font_that_ships_is_on_the_page_with_its_licence() -> None:
    package = ROOT / "src" / "rigline"
    fonts = [path for path in package.rglob("*") if path.suffix in (".ttf", ".otf", ".woff", ".woff2")]
    text = (package / "drawing" / "fonts" / "LICENSE-fonts").read_text(encoding="utf-8")

    assert {path.parent.relative_to(package).as_posix() for path in fonts} == {"drawing/fonts"}
    assert {path.stem for path in fonts} == {"LiberationSans-Regular", "LiberationSans-Bold"}
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert "Reserved Font Name Liberation" in text


def test_no_library_binds_what_a_user_makes(wheel: Path) -> None:
    package = metadata_of(wheel)
    licences = {name: licence_of(library) for name, library in needed(package, extras_of(package)).items()}

    assert {name: licence for name, licence in licences.items() if COPYLEFT.search(licence)} == {}


def test_scripts_and_styles_that_ship_are_our_own() -> None:
    """A library's script would bring a notice of its licence at its head."""
    package = ROOT / "src" / "rigline"
    texts = {path.name: path.read_text(encoding="utf-8") for kind in ("*.js", "*.css") for path in package.rglob(kind)}

    assert texts != {}
    assert [name for name, text in texts.items() if re.search("@license|copyright|/\\*!", text, re.IGNORECASE)] == []
