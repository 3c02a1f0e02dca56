"""Options and fixtures that all tests share."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

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


@pytest.fixture
def in_project(monkeypatch: pytest.MonkeyPatch) -> Path:
    """Run in the project's folder, so that specs are named as the README names them."""
    monkeypatch.chdir(ROOT)
    return ROOT
