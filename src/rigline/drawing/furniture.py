"""What is written round the drawing: the facts for the title block, the findings, the notes."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field


class FindingLine(Struct, frozen=True):
    """A finding as the list on the sheet shows it."""

    number: int
    """As on its flag."""
    severity: str
    """danger | fault | question | advice"""
    text: str
    waived: bool = False
    """The author accepts it; its reason stands in the text."""


class ChangeLine(Struct, frozen=True):
    """A change as the list on the sheet shows it."""

    number: int
    """As in its triangle, if it has one."""
    text: str
    marked: bool = True
    """Whether it has one; what was removed stands nowhere on the drawing."""


class RevisionLine(Struct, frozen=True):
    """A row of the table of revisions."""

    revision: str
    date: str
    by: str
    change: str


class Furniture(Struct, frozen=True):
    """Everything a sheet says about itself. What is not known is an empty text.

    The fields are those of ISO 7200 (from memory) and what a checker of a plan asks for.
    """

    title: str
    supplement: str = ""
    """Which part or stage of the system this is, if not all of it."""
    number: str = ""
    """Identification number of the drawing."""
    owner: str = ""
    revision: str = ""
    date: str = ""
    """As the spec gives it, never from the clock."""
    author: str = ""
    profile: str = ""
    edition: str = ""
    spec_name: str = ""
    spec_hash: str = ""
    voltages: str = ""
    result: str = ""
    """Result of the check, in words."""
    findings: tuple[FindingLine, ...] = ()
    changes: tuple[ChangeLine, ...] = ()
    notes: tuple[str, ...] = ()
    revisions: tuple[RevisionLine, ...] = ()
    """The newest first."""
    colors: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Letters (IEC 60757) of each wire's conductors, the live one first; empty where an author's words name none."""


DOCUMENT_TYPE = "One-line diagram"
HASH_NAME = "Spec hash"
"""What stands before the hash in the description of a drawing."""
STATUS = "Plan only — not for construction until checked"
CAUTIONS = (
    "Plan only. Local codes and a licensed electrician decide.",
    "AC wiring is work for a licensed electrician.",
    "A shorted battery delivers thousands of amperes: disconnect it before any work.",
)
"""Stand on every sheet."""
