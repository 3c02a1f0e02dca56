"""Serves the page on this machine alone, until Ctrl-C."""

from __future__ import annotations

import asyncio
import errno
import os
import socket
import threading
import webbrowser
from collections.abc import Callable
from types import FrameType

import uvicorn

from rigline.errors import CommandError
from rigline.view.app import view_app
from rigline.view.desk import Desk
from rigline.view.following import follow
from rigline.view.guard import HOST, new_token
from rigline.view.spec_file import SpecFile

LAST_WORDS_S = 2
"""How long open requests may take when the command is ended."""


def serve(spec: SpecFile, port: int, tell: Callable[[str], None], open_page: bool) -> None:
    """Serve the page of a spec until Ctrl-C.

    Args:
        spec: What to follow.
        port: Where; 0 for any that is free.
        tell: Takes the page's address once it can be opened.
        open_page: Whether to open the address in the browser.

    Raises:
        CommandError: The port can't be had.
    """
    with listening(port) as listener:
        token, port = new_token(), listener.getsockname()[1]
        address = f"http://{HOST}:{port}/{token}/"

        def ready() -> None:
            tell(address)
            if open_page:
                # A browser without a window would keep this thread until it is closed.
                threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()

        try:
            asyncio.run(_serve(spec, token, port, listener, ready))
        except KeyboardInterrupt:
            return


def listening(port: int) -> socket.socket:
    """A socket that listens on a port of this machine's own address; CommandError if that can't be had."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":
        # There it lets a port be had again at once, and never one that is in use.
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((HOST, port))
    except OSError as error:
        listener.close()
        reason = "is in use" if error.errno == errno.EADDRINUSE else f"can't be had ({error.strerror})"
        remedy = "give another with --port, or leave it out and a free one is taken"
        raise CommandError(f"port {port} {reason}; {remedy}") from None
    return listener


async def _serve(spec: SpecFile, token: str, port: int, listener: socket.socket, ready: Callable[[], None]) -> None:
    desk, stop = Desk(spec), asyncio.Event()
    config = uvicorn.Config(
        view_app(desk, token, port),
        http="h11",
        ws="none",
        lifespan="off",
        log_level="critical",
        access_log=False,
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=LAST_WORDS_S,
    )
    following = asyncio.create_task(follow(desk, stop))
    try:
        await _Server(config, desk, ready).serve(sockets=[listener])
    finally:
        desk.end()
        stop.set()
        await following


class _Server(uvicorn.Server):
    """Says when it is ready, and lets the page's open stream go when it ends."""

    def __init__(self, config: uvicorn.Config, desk: Desk, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._desk = desk
        self._ready = ready
        self._loop = asyncio.get_running_loop()

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start, then tell the address."""
        await super().startup(sockets)
        if not self.should_exit:
            self._ready()

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """End at the first Ctrl-C; the stream would otherwise be waited for."""
        self._loop.call_soon_threadsafe(self._desk.end)
        super().handle_exit(sig, frame)
