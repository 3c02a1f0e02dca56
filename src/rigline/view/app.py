"""The addresses of the page. Every name that can be asked for is listed here; no path of a request leads to a file."""

from __future__ import annotations

import secrets
from collections.abc import AsyncIterator, Awaitable, Callable
from http import HTTPStatus
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from rigline.errors import CommandError
from rigline.view.desk import Desk
from rigline.view.guard import Guard
from rigline.view.page import page_html, static_files
from rigline.view.spec_file import ChangedElsewhere, SavedText

HEARTBEAT_S = 15.0
"""How often a silent stream says that it is still there. Our own choice."""
PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'nonce-{nonce}'; font-src data:; img-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
"""What the page may do: its own files, its own server, nothing else."""
PLOT_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
"""A plot holds its own style and is shown as a picture only."""

Answer = Callable[[Request], Awaitable[Response]]


def view_app(desk: Desk, token: str, port: int) -> Guard:
    """The application behind its guard."""
    routes = [Route(path, answer, methods=[method]) for method, path, answer in _addresses(desk)]
    routes += [Route(f"/{name}", _file(kind, content)) for name, (kind, content) in static_files().items()]
    app = Starlette(routes=routes)
    app.router.redirect_slashes = False
    return Guard(app, token, port)


def _addresses(desk: Desk) -> list[tuple[str, str, Answer]]:
    answers = _Answers(desk)
    return [
        ("GET", "/", answers.page),
        ("GET", "/state", answers.state),
        ("GET", "/events", answers.events),
        ("GET", "/lists", answers.lists),
        ("GET", "/plot.svg", answers.plot),
        ("GET", "/schema", answers.schema),
        ("GET", "/text", answers.text),
        ("PUT", "/text", answers.save),
        ("POST", "/check", answers.check),
        ("POST", "/try", answers.try_out),
    ]


def _file(kind: str, content: bytes) -> Answer:
    async def answer(request: Request) -> Response:
        return Response(content, media_type=kind)

    return answer


class _Answers:
    """One method for each address."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    async def page(self, request: Request) -> Response:
        nonce = secrets.token_urlsafe(16)
        content = page_html(self._desk.spec.path.name, self._desk.spec.syntax, nonce)
        policy = {"content-security-policy": PAGE_POLICY.format(nonce=nonce)}
        return Response(content, media_type="text/html", headers=policy)

    async def state(self, request: Request) -> Response:
        return JSONResponse(await self._desk.state())

    async def events(self, request: Request) -> Response:
        return StreamingResponse(self._stream(), media_type="text/event-stream")

    async def _stream(self) -> AsyncIterator[str]:
        """Server-sent events (WHATWG HTML, 9.2): the number of each new look."""
        yield "retry: 1000\n\n"
        async for number in self._desk.numbers(HEARTBEAT_S):
            yield ": still here\n\n" if number is None else f"event: look\ndata: {number}\n\n"
        yield "event: ended\ndata:\n\n"

    async def lists(self, request: Request) -> Response:
        found = await self._desk.lists(_number(request))
        if found is None:
            return _plain(HTTPStatus.GONE)
        return JSONResponse({"parts": found.parts, "energy": found.energy})

    async def plot(self, request: Request) -> Response:
        found = await self._desk.lists(_number(request))
        if found is None or not found.plot:
            return _plain(HTTPStatus.GONE)
        return Response(found.plot, media_type="image/svg+xml", headers={"content-security-policy": PLOT_POLICY})

    async def schema(self, request: Request) -> Response:
        from rigline.outputs.spec_schema import spec_schema

        return JSONResponse(spec_schema())

    async def text(self, request: Request) -> Response:
        try:
            return JSONResponse(_saved(self._desk.spec.saved()))
        except CommandError as error:
            return _plain(HTTPStatus.NOT_FOUND, str(error))

    async def save(self, request: Request) -> Response:
        """Save, if the file is as the page last saw it: If-Match holds its digest (RFC 9110, 13.1.1)."""
        base = request.headers.get("if-match", "").strip('"')
        text = await _body(request)
        if not base or text is None:
            return _plain(HTTPStatus.BAD_REQUEST)
        try:
            saved = self._desk.spec.save(text, base)
        except ChangedElsewhere as conflict:
            return JSONResponse(_saved(conflict.now), HTTPStatus.PRECONDITION_FAILED)
        except CommandError as error:
            return _plain(HTTPStatus.INTERNAL_SERVER_ERROR, str(error))
        await self._desk.refresh()
        return JSONResponse(_saved(saved))

    async def check(self, request: Request) -> Response:
        return await self._judged(request, self._desk.check)

    async def try_out(self, request: Request) -> Response:
        return await self._judged(request, self._desk.try_out)

    async def _judged(self, request: Request, judge: Callable[[str], Awaitable[dict[str, Any] | None]]) -> Response:
        text = await _body(request)
        if text is None:
            return _plain(HTTPStatus.BAD_REQUEST)
        found = await judge(text)
        # Nothing is the answer to a text that is out of date.
        return Response(status_code=HTTPStatus.NO_CONTENT) if found is None else JSONResponse(found)


def _saved(saved: SavedText) -> dict[str, Any]:
    return {"text": saved.text, "digest": saved.digest}


async def _body(request: Request) -> str | None:
    """The text of a request; None if it is no UTF-8."""
    try:
        return (await request.body()).decode()
    except UnicodeDecodeError:
        return None


def _number(request: Request) -> int:
    text = request.query_params.get("number", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def _plain(status: HTTPStatus, words: str = "") -> Response:
    return Response(f"{words or status.phrase}\n", status, media_type="text/plain")
