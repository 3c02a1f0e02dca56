"""Puts a page together: the sheets as they are drawn, the findings as text, the numbers as data.

Everything that must be read stands in the page as text, so that it can be read where no script runs, and printed. The
script adds what needs a finger: pan, zoom, tap and find.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from string import Template

from msgspec import Struct

from rigline.checks.run import Report
from rigline.findings import Severity
from rigline.outputs.cautions import CAUTIONS
from rigline.outputs.furniture import furniture, result_words
from rigline.outputs.page.assets import asset, font_css, policy, script_json
from rigline.outputs.page.facts import page_facts
from rigline.outputs.page.listing import findings_html, shown
from rigline.study.study import Study

_SHEET_SIZE = re.compile(r'<svg[^>]* width="([\d.]+mm)" height="([\d.]+mm)"')


class More(Struct, frozen=True):
    """What another page puts into the frame beside the drawing, as HTML: tabs with what they show."""

    tabs: str = ""
    """Beside those of the sheets."""
    lists: str = ""
    """What they show, where the sheets lie."""
    views: str = ""
    """Tabs of the panel."""
    panels: str = ""
    """What those show."""


NOTHING_MORE = More()


def drawing_page(study: Study, report: Report, svgs: Sequence[str]) -> bytes:
    """A page that holds the drawing, its numbers and its findings, and asks the network for nothing.

    Args:
        study: The system with its numbers.
        report: What the rules said about it.
        svgs: The sheets, as `draw_svg` returns them.
    """
    style = font_css() + asset("page.css") + print_css(study, svgs)
    script = asset("sheet.js") + asset("page.js") + "startPage();\n"
    text = Template(asset("page.html")).substitute(
        title=shown(furniture(study, report).title),
        policy=policy(style, script),
        style=style,
        script=script,
        facts=script_json(page_facts(study, report)),
        frame=page_frame(study, report, svgs),
    )
    return text.encode()


def page_frame(study: Study, report: Report, svgs: Sequence[str], more: More = NOTHING_MORE) -> str:
    """Everything that a page shows: head, sheets, panel with the findings and cautions, foot."""
    return Template(asset("frame.html")).substitute(
        more_tabs=more.tabs,
        more_lists=more.lists,
        more_views=more.views,
        more_panels=more.panels,
        **_words(study, report),
        **_sheets(svgs),
    )


def empty_frame(title: str, more: More = NOTHING_MORE) -> str:
    """The frame before there is anything to show; a page fills it later."""
    words = dict.fromkeys(("meta", "result", "count", "findings", "about", "tabs", "sheets"), "")
    return Template(asset("frame.html")).substitute(
        more_tabs=more.tabs, more_lists=more.lists, more_views=more.views, more_panels=more.panels,
        title=shown(title), worst="none", caution=shown(CAUTIONS[0]), cautions=_cautions(), **words,
    )  # fmt: skip


def _cautions() -> str:
    return "".join(f"<li>{shown(caution)}</li>" for caution in CAUTIONS)


def _words(study: Study, report: Report) -> dict[str, str]:
    """The page's own texts, ready to stand in HTML."""
    words = furniture(study, report)
    meta = (words.revision and f"Revision {words.revision}", words.date, words.profile, words.spec_name)
    about = (
        ("Title", words.title),
        ("Revision", words.revision),
        ("Date", words.date),
        ("Author or owner", words.author),
        ("Profile", f"{words.profile}, {words.edition}"),
        ("Nominal voltages", words.voltages),
        ("Spec file and hash", f"{words.spec_name} {words.spec_hash}"),
        ("Rules run", str(report.rules_run)),
    )
    return {
        "title": shown(words.title),
        "meta": shown(" · ".join(word for word in meta if word)),
        "result": shown(result_words(report)),
        "worst": _worst(report),
        "count": str(len(report.findings)),
        "findings": findings_html(study, report),
        "cautions": _cautions(),
        "caution": shown(CAUTIONS[0]),
        "about": "".join(f"<div><dt>{name}</dt><dd>{shown(text)}</dd></div>" for name, text in about if text),
    }


def _worst(report: Report) -> str:
    return next((severity.value for severity in Severity if report.count(severity)), "none")


def _sheets(svgs: Sequence[str]) -> dict[str, str]:
    numbers = range(1, len(svgs) + 1)
    # One tab alone says how many sheets there are; it keeps the page's frame the same for every drawing.
    tabs = "".join(
        f'<button type="button" role="tab" id="ui:tab-{number}" aria-controls="ui:sheet-{number}">'
        f"Sheet {number}</button>"
        for number in numbers
    )
    sheets = "\n".join(
        f'<section class="sheet" role="tabpanel" id="ui:sheet-{number}" aria-label="Sheet {number} of {len(svgs)}" '
        f'tabindex="0">{svg}</section>'
        for number, svg in zip(numbers, svgs, strict=True)
    )
    return {"tabs": tabs, "sheets": sheets}


def print_css(study: Study, svgs: Sequence[str]) -> str:
    """The sizes of the printed pages: each sheet as large as it was drawn, the text on the paper of the country."""
    found = _SHEET_SIZE.search(svgs[0])
    width, height = found.groups() if found else ("420mm", "297mm")
    paper = "letter" if study.profile.name.startswith("us-") else "a4"
    return (
        f"@page{{size:{width} {height};margin:0}}\n@page text{{size:{paper};margin:18mm}}\n"
        f"@media print{{.sheet{{width:{width};height:{height}}}}}\n"
    )
