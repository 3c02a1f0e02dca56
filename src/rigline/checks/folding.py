"""Says one cause once. Several rules may stumble over one mistake; the reader needs the one that names what to mend.

A finding is folded under another only at the same place and conductor, for a reason that stands in the table, never
under a milder one, and never under one that the author waived. It is named there, so nothing is hidden.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from rigline.findings import Finding


def _always(derived: Finding, cause: Finding) -> bool:
    return True


def _wire_for_the_load_suits_the_device(derived: Finding, cause: Finding) -> bool:
    """Whether a wire that carries the current would also suit the device ahead of it."""
    return derived.found is not None and cause.found is not None and derived.found <= cause.found


def _of_the_same_part(derived: Finding, cause: Finding) -> bool:
    """Whether both speak of one part alone, as of the fuses inside an array."""
    return derived.at == cause.at


class Fold(Struct, frozen=True):
    """One rule that repeats what others say better."""

    rule: str
    under: tuple[str, ...]
    """The rules that name the cause, the most specific first."""
    shares: Literal["place", "run", "place and run"]
    """What both findings must point to: the same component, the same run, or both."""
    why: str
    """Why mending the cause mends this too."""
    holds: Callable[[Finding, Finding], bool] = _always
    """Whether it does in this case: the derived finding, then the cause."""


_PROTECTION_MISSING = ("oc-branch-missing", "oc-gauge-step", "oc-inverter-dc", "oc-unprotected-conductor")

FOLDS = (
    Fold("rt-ocpd-over-conductor", ("cd-undersized",), "run",
         "the wire that its load needs suits the device as it is", _wire_for_the_load_suits_the_device),
    Fold("rt-small-conductor-cap", ("cd-undersized",), "run",
         "the wire that its load needs suits the device as it is", _wire_for_the_load_suits_the_device),
    Fold("cd-min-size", ("cd-undersized",), "run",
         "both ask for a thicker wire, and sizing never goes below the least size"),
    Fold("rt-ocpd-cannot-trip", (*_PROTECTION_MISSING, "rt-ocpd-over-conductor"), "run",
         "a device that suits the wire is small enough to open at its end"),
    Fold("rt-ocpd-over-receptacle", ("oc-branch-missing", "oc-inverter-ac-out"), "place and run",
         "the circuit lacks a device of its own, which is then chosen for the outlet too"),
    Fold("oc-unprotected-conductor", ("oc-charger-battery-end", "oc-gauge-step", "oc-both-ends", "oc-inverter-dc",
         "oc-alternator-run", "oc-dcdc-runs", "oc-branch-missing"), "place and run",
         "the same end of the same conductor, and the other rule says what feeds it"),
    Fold("dg-unreachable-load", ("dg-missing-return",), "place and run",
         "the load's own run leads to no source at all, neither there nor back"),
    Fold("oc-pv-string-fuse", ("rt-ocpd-over-device",), "place",
         "a string fuse that the modules allow lets no more than that into a string", _of_the_same_part),
    Fold("gb-ng-none", ("gb-isolation-transformer",), "place",
         "the joint at the transformer is the one that is missing"),
    Fold("gb-ng-multiple", ("gb-isolation-transformer",), "place",
         "the joints are those of the transformer's secondary"),
    Fold("oc-battery-distance", ("rt-ocpd-wrong-end",), "place and run",
         "the same device is too far from the battery because it stands at the charger"),
    Fold("oc-voltage-rating", ("oc-dc-rating",), "place",
         "a device made for direct current is chosen by its voltage there"),
)  # fmt: skip
"""Every duplicate that is known to be derived."""

_BY_RULE = {fold.rule: fold for fold in FOLDS}


def fold(findings: Sequence[Finding]) -> list[Finding]:
    """The findings with each derived duplicate named in its cause instead of standing by itself."""
    causes = {index: cause for index, one in enumerate(findings) if (cause := _cause(one, findings)) is not None}
    slugs: dict[int, list[str]] = {}
    for index in causes:
        slugs.setdefault(_root(index, causes), []).append(findings[index].rule)
    return [
        replace(one, folded=tuple(sorted({*one.folded, *slugs.get(index, ())})))
        for index, one in enumerate(findings)
        if index not in causes
    ]


def _root(index: int, causes: dict[int, int]) -> int:
    """The finding at the end of a chain of causes."""
    while index in causes:
        index = causes[index]
    return index


def _cause(derived: Finding, findings: Sequence[Finding]) -> int | None:
    entry = _BY_RULE.get(derived.rule)
    for slug in entry.under if entry else ():
        for index, cause in enumerate(findings):
            if entry and cause.rule == slug and _is_same(derived, cause, entry) and entry.holds(derived, cause):
                return index
    return None


def _is_same(derived: Finding, cause: Finding, entry: Fold) -> bool:
    """Whether both speak of one place, and nothing of the derived finding is lost."""
    place = bool({*derived.at} & {*cause.at})
    run = bool({*derived.runs} & {*cause.runs})
    same = {"place": place, "run": run, "place and run": place and run}[entry.shares]
    lasting = cause.mode in (None, derived.mode) and cause.severity.rank <= derived.severity.rank
    return same and lasting and derived.waived is None and cause.waived is None
