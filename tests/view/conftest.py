"""The page as its user has it: the command runs, a browser shows its address, the spec lies in a folder of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from page_opening import browser
from playwright.sync_api import Browser
from view_running import Running
from view_systems import LIGHTS

__all__ = ["browser"]


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """A sound spec."""
    path = tmp_path / "lights.yaml"
    path.write_text(LIGHTS, encoding="utf-8")
    return path


@pytest.fixture
def running(browser: Browser, spec: Path) -> Iterator[Running]:
    """The command on `spec`."""
    started = Running(browser, spec)
    yield started
    assert started.process.poll() is not None or started.end() == 0
    assert started.heard == []
