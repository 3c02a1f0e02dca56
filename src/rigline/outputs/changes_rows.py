"""What is different between two states as sections of rows, from which text and Markdown are made alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rigline.changes.change import KINDS, Change, Changes
from rigline.changes.needs import Needs
from rigline.findings import Finding, Severity
from rigline.model.system import System
from rigline.outputs.order_rows import TINNED, Row, Section, cut_rows, item_rows, purchase_row, question_rows
from rigline.outputs.text import grouped, places_of

NOTHING = "No change."


def state_named(system: System) -> str:
    """A state by its file, revision and stage."""
    parts = [system.file, f"revision {system.head.revision}" if system.head.revision else ""]
    parts += [f"stage {system.stage}"] if system.stage is not None else []
    return ", ".join(part for part in parts if part)


def summary(changes: Changes) -> str:
    """The counts in one or two sentences."""
    if changes.empty:
        return NOTHING
    counts = [f"{count} {kind}" for kind in KINDS if (count := changes.count(kind))]
    told = changes.judgements
    findings = [f"{len(some)} {word}" for some, word in ((told.new, "new"), (told.gone, "gone"),
                (told.changed, "changed"), (told.lost, "not assessed any more")) if some]  # fmt: skip
    said = f"{', '.join(counts).capitalize()}." if counts else "Nothing was changed."
    return f"{said} Findings: {', '.join(findings) or 'as before'}."


def change_sections(changes: Changes) -> tuple[Section, ...]:
    """Every list that has anything in it: changes, findings, what to buy."""
    told, needs = changes.judgements, changes.needs
    missing = (Row("", f"{rule}: {fact}", tuple(places)) for rule, fact, places in grouped(told.not_assessed))
    found = [
        Section("Changes", "Numbers as in the triangles of the marked drawing.", tuple(_changes(changes.changes))),
        Section("New findings", "", tuple(_finding(finding) for finding in told.new)),
        Section("Changed findings", "", tuple(_changed(*pair) for pair in told.changed)),
        Section("Findings that are gone", "", tuple(_finding(finding) for finding in told.gone)),
        Section("Findings that can't be told any more", "A fact is missing now. This mends nothing.",
                tuple(_finding(finding) for finding in told.lost)),
        Section("Not assessed any more, or newly", "", tuple(missing)),
        *_needs(needs),
    ]  # fmt: skip
    return tuple(section for section in found if section.rows)


def _changes(changes: Iterable[Change]) -> Iterator[Row]:
    return (Row(str(change.number), change.text) for change in changes)


def _finding(finding: Finding) -> Row:
    waived = " (waived)" if finding.waived is not None else ""
    return Row("", f"{finding.severity.upper()}{waived} {places_of(finding)}: {finding.message}", (), finding.rule)


def _changed(old: Finding, new: Finding) -> Row:
    row = _finding(new)
    return Row("", row.what, (), f"{row.note}; was {_weight(old.severity, old.waived)}")


def _weight(severity: Severity, waived: str | None) -> str:
    return f"{severity}, {'not waived' if waived is None else 'waived'}"


_ABOUT_WIRE = "For the pieces that are new or not as they were; a piece that is taken out may be long enough."


def _needs(needs: Needs) -> list[Section]:
    tinned = needs.study.profile.name in TINNED
    return [
        Section("Find out first", "These can't be ordered before you know.", tuple(question_rows(needs.questions))),
        Section("To buy: components", "", item_rows(needs.components)),
        Section("To buy: wire and cable", _ABOUT_WIRE, tuple(purchase_row(one, tinned) for one in needs.wire)),
        Section("To buy: lugs and rings", "", item_rows(needs.lugs)),
        Section("Lugs and rings not to be bought yet", "", item_rows(needs.open_lugs)),
        Section("To buy: other ends, heat shrink, boots", "", item_rows(needs.fittings)),
        Section("To buy: fuse holders and spare fuses", "", item_rows(needs.fuses)),
        Section("To buy: on the way", "", item_rows(needs.routing)),
        Section("To cut", "", cut_rows(needs.study, needs.cuts)),
        Section("Left over", "Only the old state needs these.",
                tuple(Row(f"{item.count:g}", item.what, item.at) for item in needs.left_over)),
    ]  # fmt: skip
