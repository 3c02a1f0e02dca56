"""Reads a case: a spec, and beside it in a text file of the same name the verdicts that a careful electrician gives.

The text begins with what the case is about and the clause that decides it. Then come blocks, each a variant of the
spec:

    as written                                   the spec as it stands
    with `wire: 14 AWG` -> `wire: 10 AWG`        the spec with one text replaced everywhere; several lines add up
      danger oc-gauge-step LT1 on W2: 150 of 35 A    a finding: severity, rule, places, run, what was found, the limit
      advice bb-c-rate B1                            advice that must be given
      asks oc-interrupting-rating F1: short-circuit  what can't be judged for want of a fact
      no cd-voltage-drop-general                     a rule that must stay silent, whatever the severity
      drop M1 5.2 %                                  a number of the study, computed by hand
      refused mm²                                    the spec is refused with a message that says this

The dangers, faults and questions of a block are all there are: one more is a false alarm, one less a miss.
"""

from __future__ import annotations

import re
from pathlib import Path

from msgspec import Struct, field

FOLDER = Path(__file__).parent / "cases"
WITH = re.compile(r"with `(?P<old>.*)` -> `(?P<new>.*)`")
FINDING = re.compile(
    r"(?P<severity>danger|fault|question|advice) (?P<rule>[a-z0-9-]+)(?: (?P<at>[^ :]+))?(?: on (?P<runs>[^ :]+))?"
    r"(?:: (?P<found>any current|[\d.]+) of (?P<limit>any current|[\d.]+)(?: (?P<unit>\S+))?)?"
)
ASKS = re.compile(r"asks (?P<rule>[a-z0-9-]+)(?: (?P<at>[^ :]+))?(?:: (?P<fact>.+))?")
SILENT = re.compile(r"no (?P<rule>[a-z0-9-]+)")
NUMBER = re.compile(r"(?P<what>drop|start|ampacity|current) (?P<of>\S+) (?P<value>[\d.]+) (?P<unit>%|V|A)")


class Expected(Struct, frozen=True):
    """One finding that must be made."""

    severity: str
    rule: str
    at: tuple[str, ...]
    runs: tuple[str, ...]
    numbers: tuple[str, ...] | None
    """Found, limit and unit as written with three digits; None if the case has no number."""


class Variant(Struct, frozen=True):
    """A spec's text and what must be said of it."""

    name: str
    text: str
    findings: list[Expected] = field(default_factory=list)
    asks: list[tuple[str, tuple[str, ...], str]] = field(default_factory=list)
    silent: list[str] = field(default_factory=list)
    numbers: list[tuple[str, str, float]] = field(default_factory=list)
    """What, of which component or run, and its value."""
    refused: list[str] = field(default_factory=list)


def variants_of(path: Path) -> list[Variant]:
    """All blocks of a case.

    Args:
        path: The spec; the text with the verdicts stands beside it.
    """
    spec = path.read_text(encoding="utf-8")
    found: list[Variant] = []
    changes: list[tuple[str, str]] = []
    open_block = False
    for line in path.with_suffix(".txt").read_text(encoding="utf-8").split("\n\n", 1)[1].splitlines():
        if line.startswith("  "):
            _add(found[-1], line.strip())
            open_block = False
        elif line.startswith(("as written", "with ")):
            changes = [*changes, *_change(line)] if open_block else _change(line)
            found = [*found[: len(found) - open_block], _variant(path.stem, spec, changes)]
            open_block = True
        elif line:
            raise ValueError(f"{path.stem}: {line}")
    return found


def _change(line: str) -> list[tuple[str, str]]:
    match = WITH.fullmatch(line)
    if match is None and line != "as written":
        raise ValueError(line)
    return [(match["old"].replace("\\n", "\n"), match["new"].replace("\\n", "\n"))] if match else []


def _variant(case: str, text: str, changes: list[tuple[str, str]]) -> Variant:
    for old, new in changes:
        if old not in text:
            raise ValueError(f"{case}: no {old!r} in the spec")
        text = text.replace(old, new)
    name = "; ".join(f"{old.strip()} -> {new.strip()}" for old, new in changes)
    return Variant(f"{case}: {name or 'as written'}", text)


def _names(text: str | None) -> tuple[str, ...]:
    return tuple(text.split(",")) if text else ()


def _add(variant: Variant, line: str) -> None:
    if match := FINDING.fullmatch(line):
        numbers = (match["found"], match["limit"], match["unit"] or "") if match["found"] else None
        runs = _names(match["runs"])
        variant.findings.append(Expected(match["severity"], match["rule"], _names(match["at"]), runs, numbers))
    elif match := ASKS.fullmatch(line):
        variant.asks.append((match["rule"], _names(match["at"]), match["fact"] or ""))
    elif match := SILENT.fullmatch(line):
        variant.silent.append(match["rule"])
    elif match := NUMBER.fullmatch(line):
        variant.numbers.append((match["what"], match["of"], float(match["value"])))
    elif line.startswith("refused "):
        variant.refused.append(line.removeprefix("refused "))
    elif line != "nothing":
        raise ValueError(f"{variant.name}: {line}")
