"""The page's own HTML: the frame of the drawing's page with lists and an editor beside it."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import PurePath
from string import Template
from typing import Any

from rigline.outputs.page.assets import asset, font_css
from rigline.outputs.page.build import More, empty_frame, page_frame, print_css
from rigline.outputs.page.facts import page_facts
from rigline.outputs.page.listing import shown
from rigline.outputs.schedule_html import schedule_html
from rigline.results.drawing import Drawing
from rigline.view.outcome import Outcome

SCRIPT = "text/javascript; charset=utf-8"
STYLE = "text/css; charset=utf-8"


@cache
def static_files() -> dict[str, tuple[str, bytes]]:
    """Everything that the page loads: name -> kind and content. There is nothing else to be had."""
    styles = font_css() + asset("page.css") + _own("view.css")
    scripts = {name: _own(name) for name in ("view.js", "tables.js", "editor.js", "hints.js")}
    scripts["page.js"] = asset("sheet.js") + asset("page.js")
    scripts["codemirror.js"] = files("rigline.view").joinpath("vendor", "codemirror.js").read_text(encoding="utf-8")
    return {
        "page.css": (STYLE, styles.encode()),
        "icon.svg": ("image/svg+xml", _own("icon.svg").encode()),
        **{name: (SCRIPT, text.encode()) for name, text in scripts.items()},
    }


def _own(name: str) -> str:
    return files("rigline.view").joinpath("static", name).read_text(encoding="utf-8")


def page_html(name: str, syntax: str, nonce: str) -> bytes:
    """The page before anything was drawn.

    Args:
        name: The spec's file name.
        syntax: yaml, json or toml.
        nonce: By which the policy lets the editor's own style in.
    """
    frame = empty_frame(name, _more(""))
    text = Template(_own("view.html")).substitute(title=shown(name), frame=frame, syntax=syntax, nonce=nonce)
    return text.encode()


def look(name: str, number: int, outcome: Outcome, sound: Outcome | None, sound_number: int) -> dict[str, Any]:
    """What the page is shown of a text.

    Args:
        name: The spec's file name.
        number: Of this look; a later one has a greater number.
        outcome: What became of the text.
        sound: The outcome whose drawing is shown: of this text, or of the last one that could be drawn.
        sound_number: The number of the look that brought that drawing.
    """
    found: dict[str, Any] = {"name": PurePath(name).name, "number": number, **outcome.marks()}
    found["stale"] = outcome.drawing is None
    if sound is not None and sound.drawing is not None:
        drawing = sound.drawing
        with drawing.study.system.shown():
            found["drawing"] = {"number": sound_number, **_drawing(drawing)}
    return found


def _drawing(drawing: Drawing) -> dict[str, Any]:
    more = _more(schedule_html(drawing.study, drawing.report))
    return {
        "frame": page_frame(drawing.study, drawing.report, drawing.svgs, more),
        "facts": page_facts(drawing.study, drawing.report),
        "print": print_css(drawing.study, drawing.svgs),
    }


def _more(wires: str) -> More:
    return More(
        tabs="".join(_tab(id, name) for id, name in (("wires", "Wires"), ("parts", "Parts"), ("energy", "Energy"))),
        lists=Template(_own("lists.html")).substitute(wires=wires),
        views=_tab("spec", "Spec"),
        panels=_own("spec.html"),
    )


def _tab(id: str, name: str) -> str:
    return f'<button type="button" role="tab" id="ui:to-{id}" aria-controls="ui:{id}">{name}</button>'
