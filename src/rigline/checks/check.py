"""What a rule file declares: one constant, from which the report, the docs and the tests all follow."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Literal

from msgspec import Struct, field

from rigline.findings import Family, Finding, Severity
from rigline.model.system import System
from rigline.study.study import Study

Sure = Literal["verified", "from memory", "common practice"]


class Source(Struct, frozen=True):
    """Where a limit comes from, and whether its text was read or is recalled."""

    text: str
    sure: Sure

    def __str__(self) -> str:
        return self.text if self.sure == "verified" else f"{self.text} ({self.sure})"


class Hit(Struct, frozen=True):
    """One place where a rule is broken: the numbers, and the words that its templates need."""

    at: tuple[str, ...]
    found: float | None = None
    limit: float | None = None
    unit: str = ""
    runs: tuple[str, ...] = ()
    segment: str | None = None
    severity: Severity | None = None
    """If it differs from the rule's."""
    words: Mapping[str, str] = field(default_factory=dict)
    mode: str | None = None
    field: str = ""
    """Key of the chief component that the finding points to in the spec, as in rating."""


class Missing(Struct, frozen=True):
    """One place where a rule could not be judged, and the fact that is missing."""

    at: tuple[str, ...]
    missing: str


class Example(Struct, frozen=True):
    """A small complete spec that passes, and the one line of it that makes it fail."""

    spec: str
    """The passing spec."""
    passing: str
    """A line of it (or part of one) that occurs once."""
    failing: str
    """What stands there in the failing spec."""
    finds: tuple[str, ...]
    """What the finding points to in the failing spec (`at`)."""

    @property
    def failing_spec(self) -> str:
        """The spec that breaks the rule."""
        return self.spec.replace(self.passing, self.failing)


class Check(Struct, frozen=True):
    """One rule. The module's docstring says why it matters; `find` says where it is broken.

    The templates of message and remedy may use {at} (the chief component or run), {id} (its id alone, for what is to be
    pasted into a spec), {found}, {limit}, {unit}, {runs}, and
    whatever `Hit.words` holds.
    """

    slug: str
    title: str
    """The fault in a few words; reads well after 'allow'."""
    family: Family
    severity: Severity
    limit: str
    """The limit in words, with what differs between profiles."""
    exceptions: str
    """When the rule does not hold, with the clause; 'none'."""
    sources: tuple[Source, ...]
    message: str
    remedy: str
    find: Callable[[Study], Iterator[Hit | Missing]]
    example: Example
    profiles: tuple[str, ...] = ()
    """Profiles in which the rule applies; empty for all."""
    hygiene: bool = False
    """Judged first: whether the wiring makes sense at all."""
    review: Callable[[System, Sequence[Finding]], Iterator[Hit]] | None = None
    """For a rule on the report itself: judges what all the others found."""

    def applies_to(self, profile: str) -> bool:
        """Whether the rule is part of a profile."""
        return not self.profiles or profile in self.profiles

    @property
    def source(self) -> str:
        """All sources in one line."""
        return "; ".join(str(source) for source in self.sources)
