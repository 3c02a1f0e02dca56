"""Runs `rigline view` and shows its address in a browser."""

from __future__ import annotations

import hashlib
import json
import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any
from urllib.request import urlopen

from page_opening import PHONE
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

DESKTOP = ViewportSize(width=1280, height=800)


class Running:
    """The command, and pages that show its address."""

    def __init__(self, browser: Browser, spec: Path) -> None:
        self.browser = browser
        self.spec = spec
        self.contexts: list[BrowserContext] = []
        self.heard: list[str] = []
        arguments = [sys.executable, "-m", "rigline", "view", str(spec), "--no-open"]
        self.process = subprocess.Popen(arguments, stderr=subprocess.PIPE, text=True)
        assert self.process.stderr is not None
        first = self.process.stderr.readline()
        found = re.search(r"http://127\.0\.0\.1:\d+/[\w-]{43}/", first)
        assert found is not None, first + self.process.stderr.read()
        self.address = found[0]

    def page(self, phone: bool = False, **options: Any) -> Page:
        """A page that shows the drawing; whatever it logs or asks of others is an error at the end."""
        size = PHONE if phone else DESKTOP
        context = self.browser.new_context(viewport=size, has_touch=phone, is_mobile=phone, **options)
        self.contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("console", lambda message: self.hear(message.text))
        page.on("pageerror", lambda error: self.heard.append(f"error: {error}"))
        page.on("request", lambda request: self.hear_request(request.url))
        page.goto(self.address)
        return page

    def hear(self, text: str) -> None:
        """A conflict is told with status 412, which the browser logs."""
        if "412" not in text:
            self.heard.append(f"console: {text}")

    def hear_request(self, url: str) -> None:
        """Only the page's own address is asked for anything."""
        if not url.startswith((self.address, "data:font/woff2;base64,")):
            self.heard.append(f"request: {url}")

    def settle(self, text: str) -> None:
        """Save a text and wait until the command shows it."""
        self.spec.write_text(text, encoding="utf-8")
        wanted = hashlib.sha256(text.encode()).hexdigest()
        while json.loads(urlopen(f"{self.address}state", timeout=60).read())["digest"] != wanted:
            time.sleep(0.05)

    def close_pages(self) -> list[str]:
        """Close every page; what they logged."""
        for context in self.contexts:
            context.close()
        heard, self.contexts, self.heard = self.heard, [], []
        return heard

    def end_command(self) -> int:
        """Press Ctrl-C; the command's exit code."""
        self.process.send_signal(signal.SIGINT)
        code = self.process.wait(20)
        assert self.process.stderr is not None
        self.process.stderr.close()
        return code
