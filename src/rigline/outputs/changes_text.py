"""What is different between two states as text of 80 columns, as Markdown for build notes, and as JSON for programs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from rigline.changes.change import KINDS, Change, Changes
from rigline.findings import Finding
from rigline.outputs.cautions import CAUTIONS
from rigline.outputs.changes_rows import change_sections, state_named, summary
from rigline.outputs.json_report import dumped, finding_json
from rigline.outputs.markdown_report import escaped
from rigline.outputs.order_json import item_json, piece_json, purchase_json, question_json
from rigline.outputs.order_rows import Row, Section
from rigline.outputs.order_text import LEGEND, filled, row_lines
from rigline.outputs.text import Line, Role

_ROLES: dict[str, Role] = {"DANGER": "danger", "FAULT": "fault", "QUESTION": "question", "ADVICE": "advice"}
"""First word of a finding's row -> what a terminal takes it for."""


def changes_lines(changes: Changes) -> list[Line]:
    """Every list as lines of text; if nothing changed, that alone."""
    old, new = changes.old.system, changes.new.system
    lines = _lines(f"From {state_named(old)}") + _lines(f"To {state_named(new)}: {new.head.title or 'untitled'}")
    lines += [Line(""), *_lines(summary(changes), "heading")]
    if changes.empty:
        return lines
    sections = change_sections(changes)
    if any(row.state for section in sections for row in section.rows):
        lines += [Line(""), Line(LEGEND)]
    for section in sections:
        lines += [Line(""), Line(section.title.upper(), "heading")]
        lines += _lines(section.about) if section.about else []
        lines += [line for row in section.rows for line in _row(row)]
    return [*lines, Line(""), *(line for one in CAUTIONS for line in _hanging(one, "Caution: ", "  ", "caution"))]


def _row(row: Row) -> Iterator[Line]:
    if row.state is not None or row.count == "?":
        yield from (Line(text) for text in row_lines(row))
        return
    role = _ROLES.get(row.what.partition(" ")[0], "")
    rest = "".join(f" ({part})" for part in (", ".join(row.at), row.note) if part)
    yield from _hanging(f"{row.what}{rest}", f"{row.count:>3}  ", " " * 5, role)


def _lines(text: str, role: Role = "") -> list[Line]:
    return _hanging(text, "", "  ", role)


def _hanging(text: str, first: str, indent: str, role: Role) -> list[Line]:
    return [Line(line, role) for line in filled(text, first, indent)]


def changes_text(changes: Changes) -> str:
    """All lines as plain text."""
    return "".join(f"{line.text}\n" for line in changes_lines(changes))


def changes_markdown(changes: Changes) -> str:
    """Every list under its heading."""
    old, new = changes.old.system, changes.new.system
    lines = [f"# Changes of {escaped(new.head.title or new.file)}", ""]
    lines += [f"From {escaped(state_named(old))} to {escaped(state_named(new))}. {escaped(summary(changes))}", ""]
    for section in change_sections(changes):
        lines += [f"## {section.title}", "", *([escaped(section.about), ""] if section.about else [])]
        lines += [*_table(section), ""]
    lines += ["## Cautions", "", *(f"- {escaped(one)}" for one in CAUTIONS)]
    return "\n".join(lines) + "\n"


def _table(section: Section) -> Iterator[str]:
    if all(row.state is None for row in section.rows):
        for row in section.rows:
            rest = "".join(f" ({part})" for part in (", ".join(row.at), row.note) if part)
            yield f"- {escaped(f'{row.count} {row.what}{rest}'.strip())}"
        return
    yield "| State | Count | What | For | Note |"
    yield "| --- | ---: | --- | --- | --- |"
    for row in section.rows:
        cells = (row.state or "", row.count, row.what, ", ".join(row.at), row.note)
        yield f"| {' | '.join(escaped(cell) for cell in cells)} |"


def changes_json(changes: Changes) -> str:
    """Everything as one object; the keys of the new state are those of a check."""
    old, new, told, needs = changes.old.system, changes.new.system, changes.judgements, changes.needs
    return dumped({
        "spec": new.file, "title": new.head.title, "revision": new.head.revision, "profile": new.head.profile,
        "stage": new.stage,
        "old": {"spec": old.file, "title": old.head.title, "revision": old.head.revision, "profile": old.head.profile},
        "changes": [_change(change) for change in changes.changes],
        "counts": {kind: changes.count(kind) for kind in KINDS},
        "findings_new": [finding_json(finding) for finding in told.new],
        "findings_gone": [finding_json(finding) for finding in told.gone],
        "findings_changed": [_changed(*pair) for pair in told.changed],
        "findings_lost": [finding_json(finding) for finding in told.lost],
        "not_assessed": [{"rule": one.rule, "at": list(one.at), "missing": one.missing} for one in told.not_assessed],
        "questions": [question_json(question) for question in needs.questions],
        "wire": [purchase_json(one) for one in needs.wire],
        "cuts": [piece_json(piece) for piece in needs.cuts],
        **{name: [item_json(item) for item in getattr(needs, name)]
           for name in ("components", "lugs", "open_lugs", "fittings", "fuses", "routing", "left_over")},
    })  # fmt: skip


def _change(change: Change) -> dict[str, Any]:
    return {
        "number": change.number, "kinds": list(change.kinds), "what": change.what, "id": change.id,
        "old_id": change.old_id, "name": change.name, "marked": change.marked,
        "details": [{"kind": kind, "text": text} for kind, text in change.aspects],
    }  # fmt: skip


def _changed(old: Finding, new: Finding) -> dict[str, Any]:
    return {**finding_json(new), "severity_before": old.severity.value, "waived_before": old.waived}


CHANGES: dict[str, Callable[[Changes], str]] = {
    "text": changes_text, "json": changes_json, "markdown": changes_markdown,
}  # fmt: skip
"""Form of the report -> what makes it."""
