"""A browser without a window, in which pages are opened as a file from disk and watched while they are used."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from page_opening import DESKTOP, PHONE, Open, drawing
from playwright.sync_api import Browser, BrowserContext, Page


@pytest.fixture
def opened(browser: Browser, tmp_path: Path) -> Iterator[Open]:
    """Opens pages; whatever a page logs, fails at or asks of the network is an error at the end."""
    heard: list[str] = []
    contexts: list[BrowserContext] = []
    path = tmp_path / "page.html"

    def hear_request(url: str) -> None:
        if url != path.as_uri() and not url.startswith("data:font/woff2;base64,"):
            heard.append(f"request: {url[:100]}")

    def open_page(spec: Path, phone: bool = False, **options: Any) -> Page:
        path.write_bytes(drawing(spec).files("page.html", "html")["page.html"])
        size = PHONE if phone else DESKTOP
        contexts.append(browser.new_context(viewport=size, has_touch=phone, is_mobile=phone, **options))
        page = contexts[-1].new_page()
        page.set_default_timeout(10_000)
        page.on("console", lambda message: heard.append(f"console: {message.text}"))
        page.on("pageerror", lambda error: heard.append(f"error: {error}"))
        page.on("request", lambda request: hear_request(request.url.split("#")[0]))
        page.goto(path.as_uri())
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert heard == []
