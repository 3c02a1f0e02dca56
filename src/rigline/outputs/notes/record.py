"""What is kept with a system: findings and waivers, revisions, and the terms that the notes use."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TypeAlias

from rigline.findings import Finding
from rigline.notes.notes import Notes
from rigline.outputs.furniture import result_words
from rigline.outputs.glossary import Term, terms
from rigline.outputs.notes.blocks import Block, Paragraph, Points, Table, quoted
from rigline.outputs.text import grouped, places_of

Rows: TypeAlias = tuple[tuple[str, ...], ...]


def findings(notes: Notes) -> Iterator[Block]:
    """What the rules found, what they could not judge, and what the author accepts."""
    report = notes.report
    rows: Rows
    yield Paragraph(f"Check: {result_words(report)}. {report.rules_run} rules were run.")
    numbered = list(enumerate(report.findings, 1))
    if open_ := [(number, finding) for number, finding in numbered if finding.waived is None]:
        rows = tuple(
            (str(n), f.severity.value, places_of(f), _found(f), quoted(f.remedy), _source(f)) for n, f in open_
        )
        yield Table(("No.", "Severity", "At", "Found", "Do", "Source"), rows, "Findings", "", ("No.",), ("Found", "Do"))
    if waived := [(number, finding) for number, finding in numbered if finding.waived is not None]:
        rows = tuple((str(n), places_of(f), _found(f), f.waived or "", _source(f)) for n, f in waived)
        yield Table(("No.", "At", "Found", "Accepted because", "Source"), rows, "Waived by the author", "", ("No.",),
                    ("Found", "Accepted because"))  # fmt: skip
    if missing := grouped(report.not_assessed):
        rows = tuple((", ".join(places) or "the system", quoted(fact), rule) for rule, fact, places in missing)
        yield Table(("At", "Not known", "Rule"), rows, "Not assessed",
                    "For want of a fact; none of these passed.", (), ("Not known",))  # fmt: skip


def _found(finding: Finding) -> str:
    return quoted(f"{finding.message} ({finding.mode})" if finding.mode else finding.message)


def _source(finding: Finding) -> str:
    return f"{finding.source} [{finding.rule}]"


def revisions(notes: Notes) -> Iterator[Block]:
    """The revisions of the spec, and lines for what is changed by hand."""
    rows = [(r.revision or "", r.date or "", r.by or "", r.change or "") for r in notes.study.system.revisions]
    yield Table(
        ("Revision", "Date", "By", "Change"), (*rows, *[("",) * 4] * SPARE_LINES),
        about="" if rows else "The spec states no revisions.", wide=("Change",),
    )  # fmt: skip


SPARE_LINES = 2
"""Empty rows of the table of revisions."""


def signatures() -> Block:
    """Who did what, to be written in."""
    who = ("Wired by", "Dead tests by", "Live tests by", "AC part by", "Inspected by")
    return Table(("Work",), tuple((one,) for one in who), "Who did it", write="Name, date, signature", wide=())


def glossary(used: Iterable[str]) -> Iterator[Block]:
    """The terms of the glossary that stand in some texts, with their meanings."""
    text = "\n".join(used)
    lowered = text.lower()
    # Most terms are in no text at all, which a plain search finds out sooner.
    near = (term for term in terms() if any(word.lower() in lowered for word in (term.term, *term.also)))
    found = sorted((term for term in near if _is_in(term, text)), key=lambda term: term.term.casefold())
    if found:
        yield Points(tuple(f"{term.term}: {term.meaning}" for term in found))


def _is_in(term: Term, text: str) -> bool:
    return any(_pattern(word).search(text) for word in (term.term, *term.also))


def _pattern(word: str) -> re.Pattern[str]:
    """A word as such, in the plural too; one that has capitals only as written."""
    return re.compile(rf"(?<!\w){re.escape(word)}s?(?!\w)", 0 if word != word.lower() else re.IGNORECASE)
