"""Lets in only the page's own requests: another page in the same browser reaches this address too.

A request must name this address as host, come from this page if it says where it comes from, hold the secret token in
its path, and be short. Knows nothing of what is behind it.
"""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from http import HTTPStatus
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

HOST = "127.0.0.1"
"""The one address that is listened on."""
TOKEN_BYTES = 32
"""Of randomness in the address; 16 are held to be beyond guessing (RFC 6749 section 10.10 asks for 128 bits)."""
READING, WRITING = ("GET",), ("POST", "PUT")
LARGEST_BODY_BYTES = 10_000_000
"""As much as a spec may have."""
OWN_SITES = ("same-origin", "none")
"""What a browser says of a request that this page makes, or that a person makes by opening the address."""

HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "x-frame-options": "DENY",
    "cache-control": "no-store",
}
POLICY = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
"""What an answer may do in a browser that does not say more for itself."""


def new_token() -> str:
    """A token that nobody guesses."""
    return secrets.token_urlsafe(TOKEN_BYTES)


class Guard:
    """Stands before an ASGI application and gives it only what may come in, with the token taken off the path."""

    def __init__(self, app: App, token: str, port: int) -> None:
        self._app = app
        self._token = token.encode()
        self._host = f"{HOST}:{port}".encode()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or refuse it."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            await send({"type": "websocket.close"})
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await _refuse(send, refusal)
            return
        inner = dict(scope)
        inner["path"] = "/" + str(scope["path"]).split("/", 2)[2]
        inner["raw_path"] = inner["path"].encode()
        body = await _body(receive) if scope["method"] in WRITING else b""
        if body is None:
            await _refuse(send, HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        else:
            await self._app(inner, _replayed(body, receive), _with_headers(send))

    def _refusal(self, scope: Scope) -> HTTPStatus | None:
        headers = list(scope["headers"])
        method = str(scope["method"])
        if method not in READING + WRITING:
            return HTTPStatus.METHOD_NOT_ALLOWED
        if _values(headers, b"host") != [self._host]:
            return HTTPStatus.MISDIRECTED_REQUEST
        if not self._is_own(headers, method) or not self._has_token(str(scope["path"])):
            return HTTPStatus.FORBIDDEN
        lengths = _values(headers, b"content-length")
        if any(not value.isdigit() or int(value) > LARGEST_BODY_BYTES for value in lengths):
            return HTTPStatus.REQUEST_ENTITY_TOO_LARGE
        return None

    def _is_own(self, headers: Iterable[tuple[bytes, bytes]], method: str) -> bool:
        """Whether a request comes from this page; one that writes must say so."""
        origins = _values(headers, b"origin")
        own = [b"http://" + self._host]
        sites = [site.decode("latin-1") for site in _values(headers, b"sec-fetch-site")]
        return (origins == own or (not origins and method in READING)) and all(site in OWN_SITES for site in sites)

    def _has_token(self, path: str) -> bool:
        parts = path.split("/", 2)
        # Compared in constant time, so that a wrong guess does not tell how far it was right.
        return len(parts) == 3 and secrets.compare_digest(parts[1].encode(), self._token)


def _values(headers: Iterable[tuple[bytes, bytes]], name: bytes) -> list[bytes]:
    return [value for key, value in headers if key.lower() == name]


async def _body(receive: Receive) -> bytes | None:
    """The body of a request; None if it is longer than the limit, whatever length it said."""
    body = bytearray()
    while True:
        message = await receive()
        body += message.get("body", b"")
        if len(body) > LARGEST_BODY_BYTES:
            return None
        if not message.get("more_body", False):
            return bytes(body)


def _replayed(body: bytes, receive: Receive) -> Receive:
    """Gives a body that was read already, then whatever comes behind it."""
    waiting: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def replayed() -> Message:
        return waiting.pop() if waiting else await receive()

    return replayed


def _with_headers(send: Send) -> Send:
    """The same, with the headers that every answer has; an answer's own policy stays."""

    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            given = list(message.get("headers", ()))
            names = {name.lower() for name, _ in given}
            wanted = {**HEADERS, "content-security-policy": POLICY}
            more = [(key.encode(), value.encode()) for key, value in wanted.items() if key.encode() not in names]
            message = {**message, "headers": [*given, *more]}
        await send(message)

    return with_headers


async def _refuse(send: Send, status: HTTPStatus) -> None:
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"connection", b"close")]
    if status is HTTPStatus.METHOD_NOT_ALLOWED:
        headers.append((b"allow", ", ".join(READING + WRITING).encode()))
    send = _with_headers(send)
    await send({"type": "http.response.start", "status": int(status), "headers": headers})
    await send({"type": "http.response.body", "body": f"{status.phrase}\n".encode()})
