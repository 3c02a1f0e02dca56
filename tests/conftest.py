"""Options and fixtures that all tests share."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ROOT = Path(__file__).parent.parent
"""The project's folder."""


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-gallery", action="store_true", help="write the gallery anew instead of comparing with it"
    )


@pytest.fixture(scope="session")
def update_gallery(request: pytest.FixtureRequest) -> bool:
    """Whether the gallery is to be written; refused where nobody looks at the pictures."""
    update = bool(request.config.getoption("--update-gallery"))
    if update and os.environ.get("CI"):
        pytest.exit("--update-gallery is for a person who looks at the pictures, not for CI", returncode=4)
    return update


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The system's Chromium; the one program that tests of pages can't do without. A process can drive only one."""
    from playwright.sync_api import sync_playwright

    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        pytest.skip("the system has no Chromium, so no page was opened: apt-get install chromium")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=program)
        yield started
        started.close()


@pytest.fixture
def in_project(monkeypatch: pytest.MonkeyPatch) -> Path:
    """Run in the project's folder, so that specs are named as the README names them."""
    monkeypatch.chdir(ROOT)
    return ROOT
