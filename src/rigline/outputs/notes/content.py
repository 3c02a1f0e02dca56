"""Puts the notes of a system together, in the order in which a person needs them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from msgspec.structs import replace

from rigline.notes.entries import Group
from rigline.notes.notes import Notes
from rigline.outputs.cautions import CAUTIONS
from rigline.outputs.furniture import furniture
from rigline.outputs.notes import record, wiring
from rigline.outputs.notes.blocks import Block, Document, Paragraph, Points, Section, Sheet, Table, Ticks, texts
from rigline.outputs.unseen import inspection

SECTIONS: tuple[tuple[str, str, Callable[[Notes], Iterator[Block]]], ...] = (
    ("from-to", "From-to table", wiring.from_to),
    ("panels", "Panel schedule", wiring.panel_tables),
    ("fuses", "Fuses and breakers", wiring.fuse_table),
    ("parts", "Parts and tools", wiring.parts),
    ("cuts", "Cut list", wiring.cuts),
    ("install", "Install order", lambda notes: _install(notes)),
    ("dead", "Dead tests", lambda notes: _tests(notes.dead)),
    ("live", "Live tests", lambda notes: _live(notes)),
    ("inspection", "Inspection", lambda notes: _inspection(notes)),
    ("findings", "Findings and waivers", record.findings),
    ("revisions", "Revisions", record.revisions),
)
"""Id, title and content of each chapter between the drawing and the glossary."""
BLOCK = ("drawing", "from-to", "panels", "fuses")
"""Chapters that go into the marked block of somebody's own document."""


def document_of(notes: Notes, svgs: Sequence[str]) -> Document:
    """The whole document.

    Args:
        notes: The facts.
        svgs: The sheets of the drawing.
    """
    words = furniture(notes.study, notes.report)
    stage = notes.study.system.stage
    facts = (
        f"Revision {words.revision}" if words.revision else "",
        words.date,
        f"stage {stage}" if stage is not None else "",
        f"profile {words.profile}",
        words.voltages,
        f"spec {words.spec_name} {words.spec_hash}",
    )
    document = Document(
        title=words.title,
        facts=tuple(fact for fact in facts if fact),
        result=words.result,
        caution=CAUTIONS[0],
        letter=words.profile.startswith("us-"),
        sections=(_cautions(notes), _drawing(svgs), *_chapters(notes)),
    )
    terms = Section("glossary", "Glossary", tuple(record.glossary(texts(document))))
    return replace(document, sections=(*document.sections, *([terms] if terms.blocks else [])))


def _chapters(notes: Notes) -> Iterator[Section]:
    """Every chapter that has anything in it."""
    for id, title, blocks in SECTIONS:
        if found := tuple(blocks(notes)):
            yield Section(id, title, found)


def _drawing(svgs: Sequence[str]) -> Section:
    count = len(svgs)
    sheets = (Sheet(f"One-line diagram, sheet {n} of {count}", svg) for n, svg in enumerate(svgs, 1))
    return Section("drawing", "Drawing", tuple(sheets))


def _cautions(notes: Notes) -> Section:
    return Section("cautions", "Cautions", (Points((*CAUTIONS, *notes.cautions)),))


def _install(notes: Notes) -> Iterator[Block]:
    yield Paragraph("One step at a time; the next one begins when every box of this one is ticked. Local codes, the "
                    "makers' manuals and a licensed electrician go before these notes.")  # fmt: skip
    for number, step in enumerate(notes.steps, 1):
        stops = tuple(index for index, task in enumerate(step.tasks) if task.stops)
        yield Ticks(f"{number}. {step.title}", step.why, tuple(task.what for task in step.tasks), stops)


def _tests(groups: Sequence[Group]) -> Iterator[Block]:
    for group in groups:
        rows = tuple((test.what, test.expected, test.source) for test in group.tests)
        yield Table(("Test", "Expected", "Source"), rows, group.title, group.how, (), ("Test", "Expected"), tick=True,
                    write="Reading")  # fmt: skip


def _live(notes: Notes) -> Iterator[Block]:
    if not notes.live:
        yield Paragraph("Left out: the plan has findings that are dangers or faults. Nothing goes live before they are "
                        "mended, or waived with a reason.", strong=True)  # fmt: skip
    yield from _tests(notes.live)


def _inspection(notes: Notes) -> Iterator[Block]:
    yield Paragraph("What no drawing and no spec can show: look at the real thing.")
    rows = tuple((point.what, point.source) for point in inspection(notes.study.system.profile_name))
    yield Table(("Look at", "Source"), rows, wide=("Look at",), tick=True, write="Seen, remarks")
    yield record.signatures()
