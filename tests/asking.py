"""Asks an ASGI application as a server would, with a path and headers that no ordinary client would send."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any
from urllib.parse import unquote_to_bytes

from msgspec import Struct
from own_loop import run_alone

from rigline.view.guard import App, Message


class Answer(Struct, frozen=True):
    """What came back."""

    status_code: int
    headers: Mapping[str, str]
    content: bytes

    @property
    def text(self) -> str:
        """The content as text."""
        return self.content.decode()

    def json(self) -> Any:
        """The content as data."""
        return json.loads(self.content)


class Client:
    """Asks one application; `home` is the Host that it is asked by."""

    def __init__(self, app: App, home: str) -> None:
        self._app = app
        self._home = home

    def get(self, target: str, headers: Mapping[str, str] | None = None) -> Answer:
        """Ask for something."""
        return self.request("GET", target, headers)

    def post(self, target: str, headers: Mapping[str, str] | None = None, content: Iterable[bytes] = ()) -> Answer:
        """Send something to be looked at."""
        return self.request("POST", target, headers, content)

    def put(self, target: str, headers: Mapping[str, str] | None = None, content: Iterable[bytes] = ()) -> Answer:
        """Send something to be kept."""
        return self.request("PUT", target, headers, content)

    def request(
        self, method: str, target: str, headers: Mapping[str, str] | None = None, content: Iterable[bytes] = ()
    ) -> Answer:
        """Ask in any way.

        Args:
            method: As it is to stand there.
            target: Path and query, sent as they are.
            headers: Beside Host; goes before it.
            content: The body, piece by piece.
        """
        path, _, query = target.partition("?")
        given = {"host": self._home, **(headers or {})}
        scope = {
            "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "scheme": "http",
            "path": unquote_to_bytes(path).decode("utf-8", "replace"), "raw_path": path.encode(), "root_path": "",
            "query_string": query.encode(),
            "headers": [(name.encode(), value.encode()) for name, value in given.items()],
            "client": ("127.0.0.1", 50000), "server": ("127.0.0.1", 80),
        }  # fmt: skip
        pieces = [{"type": "http.request", "body": piece, "more_body": True} for piece in content]
        pieces.append({"type": "http.request", "body": b"", "more_body": False})
        sent: list[Message] = []

        async def receive() -> Message:
            return pieces.pop(0) if pieces else {"type": "http.disconnect"}

        async def send(message: Message) -> None:
            sent.append(message)

        run_alone(self._ask(scope, receive, send))
        told = {name.decode(): value.decode() for name, value in sent[0]["headers"]}
        return Answer(sent[0]["status"], told, b"".join(message["body"] for message in sent[1:]))

    async def _ask(self, scope: Any, receive: Any, send: Any) -> None:
        await self._app(scope, receive, send)
