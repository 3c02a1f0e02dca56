"""What the page is shown while the files change: the newest text, and never an outdated result."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path
from typing import Any

from own_loop import run_alone
from view_systems import HOSTILE, LIGHTS, MARKUP, MISSPELT, OVERSIZED

from rigline.view.desk import Desk
from rigline.view.following import follow
from rigline.view.spec_file import SpecFile
from rigline.view.worker import Worker

PATIENCE_S = 60


def with_desk(spec: Path, act: Callable[[Desk], Awaitable[Any]]) -> Any:
    """Does something with a desk that follows a spec, within its time."""

    async def run() -> Any:
        desk, stop = Desk(SpecFile(spec)), asyncio.Event()
        following = asyncio.create_task(follow(desk, stop))
        try:
            async with asyncio.timeout(PATIENCE_S):
                return await act(desk)
        finally:
            desk.end()
            stop.set()
            await following

    return run_alone(run())


async def next_state(desk: Desk, wanted: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    """The first look that is as wanted."""
    async for number in desk.numbers(PATIENCE_S):
        if number is not None and wanted(state := await desk.state()):
            return state
    raise AssertionError("the desk ended")


def _has_digest(digest: str, state: dict[str, Any]) -> bool:
    return bool(state["digest"] == digest)


def test_a_newer_job_makes_the_older_one_count_for_nothing() -> None:
    begun, go = threading.Event(), threading.Event()
    done = []

    def slow(name: str) -> str:
        begun.set()
        go.wait(PATIENCE_S)
        done.append(name)
        return name

    async def run() -> list[str | None]:
        worker = Worker()
        first = asyncio.create_task(worker.run("lane", lambda: slow("first")))
        await asyncio.to_thread(begun.wait)
        rest = [asyncio.create_task(worker.run("lane", partial(slow, name))) for name in ("second", "third")]
        other = asyncio.create_task(worker.run("other", lambda: slow("other")))
        await asyncio.sleep(0)
        go.set()
        found = await asyncio.gather(first, *rest, other)
        worker.end()
        return found

    assert run_alone(run()) == [None, None, "third", "other"]
    assert done == ["first", "third", "other"]


def test_a_save_by_renaming_a_new_file_over_the_old_one_is_seen_each_time(spec: Path) -> None:
    async def act(desk: Desk) -> list[int]:
        counts = []
        for text in (OVERSIZED, LIGHTS, OVERSIZED):
            new = spec.with_suffix(".tmp")
            new.write_text(text, encoding="utf-8")
            new.replace(spec)
            digest = desk.spec.saved().digest
            state = await next_state(desk, partial(_has_digest, digest))
            counts.append(sum(one["severity"] == "danger" for one in state["findings"]))
        return counts

    dangers = with_desk(spec, act)
    assert dangers[0] == dangers[2]
    assert dangers[0] > dangers[1] == 0


def test_a_change_of_a_parts_file_is_seen(spec: Path) -> None:
    parts = spec.parent / "fuses.yaml"
    parts.write_text("parts: {SMALL: {kind: fuse, style: blade, rating: 5 A}}\n", encoding="utf-8")
    text = LIGHTS.replace("FA: {kind: fuse, style: blade, rating: 5 A}", "FA: {part: SMALL}")
    spec.write_text(text + "parts: [fuses.yaml]\n", encoding="utf-8")

    async def act(desk: Desk) -> dict[str, Any]:
        await next_state(desk, lambda state: True)
        parts.write_text("parts: {SMALL: {kind: fuse, style: blade, rating: 40 A}}\n", encoding="utf-8")
        return await next_state(desk, lambda state: any(one["severity"] == "danger" for one in state["findings"]))

    assert with_desk(spec, act)["problems"] == []


def test_a_broken_spec_keeps_the_last_sound_drawing_and_says_where_it_is_broken(spec: Path) -> None:
    async def act(desk: Desk) -> tuple[dict[str, Any], ...]:
        sound = await next_state(desk, lambda state: True)
        spec.write_text(MISSPELT, encoding="utf-8")
        broken = await next_state(desk, lambda state: state["stale"])
        spec.unlink()
        gone = await next_state(desk, lambda state: state["digest"] == "")
        spec.write_text(LIGHTS, encoding="utf-8")
        return sound, broken, gone, await next_state(desk, lambda state: not state["stale"])

    sound, broken, gone, mended = with_desk(spec, act)
    assert [(one["line"], one["column"]) for one in broken["problems"]] == [(1, 1), (3, 1)]
    assert "did you mean profile?" in broken["problems"][1]["text"]
    assert broken["drawing"] == sound["drawing"]
    assert [one["text"] for one in gone["problems"]] == ["can't be read: no such file or directory"]
    assert gone["drawing"] == sound["drawing"]
    assert mended["digest"] == sound["digest"]
    assert mended["drawing"]["frame"] == sound["drawing"]["frame"]


def test_a_spec_that_was_never_sound_has_no_drawing(spec: Path) -> None:
    spec.write_text(MISSPELT, encoding="utf-8")

    async def act(desk: Desk) -> dict[str, Any]:
        return await next_state(desk, lambda state: True)

    state = with_desk(spec, act)
    assert ("drawing" in state, len(state["problems"]), state["stale"]) == (False, 2, True)


def test_a_text_is_tried_out_without_touching_the_file(spec: Path) -> None:
    async def act(desk: Desk) -> tuple[Any, ...]:
        before = await next_state(desk, lambda state: True)
        checked = await desk.check(OVERSIZED)
        tried = await desk.try_out(OVERSIZED)
        broken = await desk.check(MISSPELT)
        assert tried is not None
        lists = await desk.lists(tried["drawing"]["number"])
        return before, checked, tried, broken, lists, await desk.state()

    before, checked, tried, broken, lists, after = with_desk(spec, act)
    assert checked["findings"] == tried["findings"]
    assert [one["line"] for one in tried["findings"] if one["severity"] == "danger"] != []
    assert len(broken["problems"]) == 2
    assert "blade" in lists.parts
    assert after == before
    assert spec.read_text(encoding="utf-8") == LIGHTS


def test_names_in_a_spec_come_out_as_text_in_every_part(spec: Path) -> None:
    spec.write_text(HOSTILE, encoding="utf-8")

    async def act(desk: Desk) -> str:
        state = await next_state(desk, lambda state: True)
        lists = await desk.lists(state["drawing"]["number"])
        assert lists is not None
        return "\n".join((state["drawing"]["frame"], lists.parts, lists.energy))

    html = with_desk(spec, act)
    assert MARKUP not in html
    assert "<script" not in html
    assert "<img src=x" not in html
    assert html.count("&lt;img src=x onerror=") >= 3


def test_drawings_that_are_out_of_date_are_forgotten(spec: Path) -> None:
    async def act(desk: Desk) -> list[bool]:
        numbers = [(await next_state(desk, lambda state: True))["number"]]
        for index in range(4):
            look = await desk.try_out(f"{LIGHTS}# {index}\n")
            assert look is not None
            numbers.append(look["drawing"]["number"])
        return [await desk.lists(number) is not None for number in numbers]

    assert with_desk(spec, act) == [False, True, True, True, True]
