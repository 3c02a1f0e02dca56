"""The page as its user has it: the command runs, a browser shows its address, the spec lies in a folder of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from view_running import Running
from view_systems import LIGHTS


@pytest.fixture
def spec(tmp_path: Path) -> Path:
    """A sound spec."""
    path = tmp_path / "lights.yaml"
    path.write_text(LIGHTS, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def command(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """The command on a spec of its own; one for all tests of a module, since it takes its time to start."""
    path = tmp_path_factory.mktemp("view") / "lights.yaml"
    path.write_text(LIGHTS, encoding="utf-8")
    started = Running(browser, path)
    yield started
    assert started.process.poll() is not None or started.end_command() == 0


@pytest.fixture
def running(command: Running) -> Iterator[Running]:
    """The command as it shows the sound spec."""
    command.settle(LIGHTS)
    yield command
    assert command.close_pages() == []


@pytest.fixture
def shown(running: Running) -> Path:
    """The spec that the command shows."""
    return running.spec
