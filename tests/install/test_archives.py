"""The wheel and the sdist hold what they need and nothing else, and say of themselves what is so."""

from __future__ import annotations

import re
import tarfile
from collections.abc import Iterable
from pathlib import Path
from zipfile import ZipFile

from installing import ROOT, metadata_of
from markdown_it import MarkdownIt

from rigline.version import VERSION

IN_SDIST = (".ci", "src", "specs", "tests", "gallery")
"""Folders that come over whole."""
TOP = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "PKG-INFO", ".gitignore"}
MOST_WHEEL_BYTES = 4_000_000
"""Our own choice: somebody installs this over a phone's connection."""


def files_of(*folders: str) -> set[str]:
    """The files of the project's folders, without what Python leaves there."""
    found = (path for folder in folders for path in (ROOT / folder).rglob("*") if path.is_file())
    return {str(path.relative_to(ROOT).as_posix()) for path in found if "__pycache__" not in path.parts}


def links_in(markdown: str) -> Iterable[str]:
    """Where the links and pictures of a text lead."""
    for block in MarkdownIt().parse(markdown):
        for token in block.children or ():
            yield from (str(token.attrs[name]) for name in ("href", "src") if name in token.attrs)


def test_the_wheel_holds_the_package_with_all_its_data_and_nothing_else(wheel: Path) -> None:
    """Fonts, tables, profiles, styles, scripts, templates and the mark of a typed package are files of the package."""
    with ZipFile(wheel) as archive:
        names = set(archive.namelist())
    package = {name for name in names if ".dist-info/" not in name}

    assert package == {name.removeprefix("src/") for name in files_of("src/rigline")}
    assert "rigline/py.typed" in package
    assert wheel.stat().st_size < MOST_WHEEL_BYTES


def test_the_sdist_holds_what_is_needed_to_build_and_test(sdist: Path) -> None:
    with tarfile.open(sdist) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}

    assert {name for name in names if "/" in name} == files_of(*IN_SDIST)
    assert {name for name in names if "/" not in name} == TOP


def test_every_licence_text_is_in_the_metadata(wheel: Path) -> None:
    package = metadata_of(wheel)
    texts = package.metadata.get_all("License-File") or []

    assert package.metadata["License-Expression"] == "MIT AND OFL-1.1"
    with ZipFile(wheel) as archive:
        inside = archive.namelist()
        assert [text for text in texts if not any(name.endswith(f"licenses/{text}") for name in inside)] == []
    assert sorted(Path(text).name for text in texts) == [
        "LICENSE",
        "LICENSE-codemirror",
        "LICENSE-fonts",
        "third_party.md",
    ]


def test_the_metadata_and_the_change_list_have_the_version_of_the_code(wheel: Path) -> None:
    changes = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")

    assert metadata_of(wheel).version == VERSION
    assert re.findall(r"^## (\S+)", changes, re.MULTILINE)[0] == VERSION


def test_the_description_shows_on_a_package_index(wheel: Path) -> None:
    """There, no file of the project is beside it, so that nothing in it may lead to one."""
    package = metadata_of(wheel).metadata
    text = str(package.get_payload())  # type: ignore[attr-defined]  # the metadata is a mail message

    assert package["Description-Content-Type"] == "text/markdown"
    assert text.startswith("# Rigline")
    assert [link for link in links_in(text) if not link.startswith("https://")] == []
    assert len(list(links_in((ROOT / "README.md").read_text(encoding="utf-8")))) > 0
