"""One thing that is different, and all of them with the two states that they lie between. Data only."""

from __future__ import annotations

from pathlib import PurePath
from typing import Literal, NamedTuple, get_args

from msgspec import Struct

from rigline.changes.judgements import Judgements
from rigline.changes.needs import Needs
from rigline.checks.run import Report
from rigline.study.study import Study

Kind = Literal["added", "removed", "renamed", "re-routed", "re-sized", "re-rated", "moved", "changed", "noted"]
KINDS: tuple[Kind, ...] = get_args(Kind)
"""What can become of a thing. `noted` is what changes nothing that is built: prices, remarks, what is on the shelf."""


class Aspect(NamedTuple):
    """One way in which a thing is different."""

    kind: Kind
    text: str
    """What changed, in a few words."""


class Change(Struct, frozen=True):
    """A component, a run or the system as a whole that is different."""

    number: int
    """As in its triangle on the drawing."""
    what: Literal["component", "run", "system"]
    id: str
    """As in the new spec; of what was removed, as in the old one. Empty for the system."""
    old_id: str
    """Empty for what was added, and for the system."""
    name: str
    """The id with what the owner calls it."""
    aspects: tuple[Aspect, ...]

    @property
    def kinds(self) -> tuple[Kind, ...]:
        """Every kind of its aspects once."""
        return tuple(dict.fromkeys(aspect.kind for aspect in self.aspects))

    @property
    def text(self) -> str:
        """The whole change in one sentence, as in F1 re-rated: rating 30 A → 40 A; moved: place A → B."""
        told: dict[str, list[str]] = {}
        for kind, text in self.aspects:
            told.setdefault(kind, []).append(text)
        words = "; ".join(f"{kind}: {', '.join(texts)}" for kind, texts in told.items())
        return f"{self.name} {words}" if self.what != "system" else f"The system {words}"

    @property
    def marked(self) -> bool:
        """Whether it bears a triangle on the drawing of the new system."""
        return self.what != "system" and set(self.kinds) - {"removed", "noted"} != set()


class Changes(Struct, frozen=True):
    """Everything that is different between two states of a system."""

    old: Study
    new: Study
    old_report: Report
    new_report: Report
    changes: tuple[Change, ...]
    judgements: Judgements
    needs: Needs
    """What must be bought for the change."""

    @property
    def empty(self) -> bool:
        """Whether both states are the same."""
        return not self.changes and self.judgements.empty

    @property
    def since(self) -> str:
        """What the old state is called: its revision if it has another one, else its file."""
        first, second = (study.system for study in (self.old, self.new))
        named = first.head.revision is not None and first.head.revision != second.head.revision
        return f"revision {first.head.revision}" if named else PurePath(first.file).name

    def count(self, kind: Kind) -> int:
        """How many things changed in a way."""
        return sum(kind in change.kinds for change in self.changes)

    def of(self, kind: Kind) -> tuple[str, ...]:
        """The ids of the things that changed in a way."""
        return tuple(change.id for change in self.changes if kind in change.kinds)
