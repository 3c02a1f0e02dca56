"""Which findings are gone, which are new, and which could only no longer be told.

A finding is the same if its rule and its place are, whatever its figures. That a fact was taken out of a spec mends
nothing: what can't be judged any more is not among the findings that are gone.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct
from msgspec.structs import replace

from rigline.changes.matching import Matching
from rigline.checks.run import Report
from rigline.findings import Finding, NotAssessed


class Judgements(Struct, frozen=True):
    """What two reports say differently."""

    gone: tuple[Finding, ...] = ()
    new: tuple[Finding, ...] = ()
    changed: tuple[tuple[Finding, Finding], ...] = ()
    """The same finding, now more or less severe, waived, or no longer so: old and new."""
    lost: tuple[Finding, ...] = ()
    """Old findings at whose place a fact is missing now."""
    not_assessed: tuple[NotAssessed, ...] = ()
    """What could be judged, or was not there to be judged, and now can't be."""

    @property
    def empty(self) -> bool:
        """Whether both say the same."""
        return not (self.gone or self.new or self.changed or self.lost or self.not_assessed)


def judgements(old: Report, new: Report, ids: Matching) -> Judgements:
    """The findings of a new report against those of an old one, whose places are read under their new names."""
    before = [_under(finding, ids) for finding in old.findings]
    changed, left, rest = [], list(new.findings), []
    for finding in before:
        same = [one for one in left if _spot(one) == _spot(finding)]
        if same:
            partner = min(same, key=lambda one: (one.mode != finding.mode, _weight(one) != _weight(finding)))
            left.remove(partner)
            changed += [(finding, partner)] if _weight(partner) != _weight(finding) else []
        elif not _is_told(finding, new.findings):
            rest.append(finding)
    known = {(entry.rule, _renamed(entry.at, ids)) for entry in old.not_assessed}
    missing = tuple(entry for entry in new.not_assessed if (entry.rule, tuple(sorted(entry.at))) not in known)
    lost = [one for one in rest if _is_lost(one, new.not_assessed, missing)]
    return Judgements(
        gone=tuple(finding for finding in rest if finding not in lost),
        new=tuple(finding for finding in left if not _is_told(finding, before)),
        changed=tuple(changed),
        lost=tuple(lost),
        not_assessed=missing,
    )


def _under(finding: Finding, ids: Matching) -> Finding:
    at, runs = (tuple(ids.now.get(id, id) for id in named) for named in (finding.at, finding.runs))
    return replace(finding, at=at, runs=runs)


def _renamed(at: Iterable[str], ids: Matching) -> tuple[str, ...]:
    return tuple(sorted(ids.now.get(id, id) for id in at))


def _spot(finding: Finding) -> tuple[object, ...]:
    return finding.rule, frozenset(finding.at), frozenset(finding.runs)


def _weight(finding: Finding) -> tuple[object, ...]:
    return finding.severity, finding.waived is None


def _is_told(finding: Finding, others: Iterable[Finding]) -> bool:
    """Whether another finding at its place says the same with it."""
    return any(finding.rule in other.folded and _places(finding) & _places(other) for other in others)


def _is_lost(finding: Finding, all: Iterable[NotAssessed], missing: Iterable[NotAssessed]) -> bool:
    """Whether a finding's rule can't be judged at its place, or a fact of its place went missing, whichever rule says
    so: rules leave that to one another.
    """
    same = any(entry.rule == finding.rule and (not entry.at or _places(finding) & set(entry.at)) for entry in all)
    return same or any(_places(finding) & set(entry.at) for entry in missing)


def _places(finding: Finding) -> set[str]:
    return {*finding.at, *finding.runs}
