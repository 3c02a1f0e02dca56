"""The pages of the rules equal what the program makes now: words, examples, and drawings with the fault flagged."""

from __future__ import annotations

from pathlib import Path

import pytest
from rule_pages_making import index_page, rule_files

from rigline.checks.check import Check
from rigline.checks.registry import all_checks

FOLDER = Path(__file__).parent.parent.parent / "gallery" / "rules"
LARGEST_MB = 25

every_check = pytest.mark.parametrize("check", all_checks(), ids=lambda check: check.slug)


@every_check
def test_the_page_of_a_rule_is_what_the_program_makes(check: Check, update_gallery: bool) -> None:
    files = rule_files(check)
    if update_gallery:
        FOLDER.mkdir(exist_ok=True)
        for old in _files_of(check.slug):
            old.unlink()
        for name, content in files.items():
            (FOLDER / name).write_bytes(content)

    assert [name for name, content in files.items() if _kept(name) != content] == []
    assert {path.name for path in _files_of(check.slug)} == set(files)


def test_the_index_of_the_rules_is_up_to_date_and_nothing_is_left_over(update_gallery: bool) -> None:
    slugs = {check.slug for check in all_checks()}
    if update_gallery:
        FOLDER.mkdir(exist_ok=True)
        (FOLDER / "README.md").write_bytes(index_page())

    assert _kept("README.md") == index_page()
    assert {path.stem for path in FOLDER.glob("*.md")} <= slugs | {"README"}
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < LARGEST_MB * 1_000_000


def _kept(name: str) -> bytes:
    path = FOLDER / name
    return path.read_bytes() if path.is_file() else b""


def _files_of(slug: str) -> list[Path]:
    return [path for part in (".md", "-passing*.svg", "-failing*.svg") for path in FOLDER.glob(f"{slug}{part}")]
