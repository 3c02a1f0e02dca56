"""A draft as YAML that somebody can read who has never seen YAML: one line for each thing, and a remark beside it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from rigline.starting.answers import UNKNOWN, Answers
from rigline.starting.draft import Draft, Way, draft_of

PROFILES: Mapping[tuple[str, str], str] = {
    ("camper", "america"): "us-rv", ("camper", "elsewhere"): "eu-caravan",
    ("trailer", "america"): "us-rv", ("trailer", "elsewhere"): "eu-caravan",
    ("boat", "america"): "us-boat", ("boat", "elsewhere"): "intl-boat",
    ("cabin", "america"): "us-cabin", ("cabin", "elsewhere"): "iec-cabin",
}  # fmt: skip
"""What and where -> set of rules."""

WIDTH = 118
"""Longest line: a page of this width is read without scrolling on most screens."""
HEAD = """\
# {title}: the first plan, made from your answers. Lines that begin with # are remarks.
#   unknown         a fact nobody has told yet: `rigline check` asks for it, and what depends on it is not assessed
#   no rating/wire  it is chosen for you: see `rigline size {file}`
# Next: rigline check {file}, rigline draw {file} -o {stem}.html
rigline: 1                    # version of the format
title: {title}
revision: A
profile: {profile}# set of rules: rigline explain profile
body: {body}
mobile: {mobile}
conditions: {{ambient: unknown, coldest: unknown}}   # warmest and coldest air where it is used
"""
RUNS = """
# A run is one circuit: both poles of DC, or hot, neutral and earth of AC. Lengths are one way, along the route, one
# for each stretch of the path: measure them, and write 1.2 m or 4 ft where it says unknown.
runs:
"""


def starter_text(answers: Answers, file: str) -> str:
    """The spec that the answers make.

    Args:
        answers: What the owner said.
        file: The name it will have, for the commands in its head.
    """
    draft = draft_of(answers)
    title = f"My {answers.what}"
    head = HEAD.format(
        title=title, file=file, stem=re.sub(r"\.[^.]*$", "", file), body=answers.body,
        profile=PROFILES[answers.what, answers.region].ljust(21), mobile=str(answers.what != "cabin").lower(),
    )  # fmt: skip
    return f"{head}\ncomponents:\n" + "\n".join(_components(draft)) + "\n" + RUNS + "\n".join(_runs(draft)) + "\n"


def _components(draft: Draft) -> Iterator[str]:
    widest = max(len(part.id) for parts in draft.chapters.values() for part in parts) + 2
    for chapter, parts in draft.chapters.items():
        yield f"  # {chapter}"
        for part in parts:
            yield from _remarked(_broken(f"  {part.id + ':':<{widest}}{{{_pairs(part.fields)}}}", widest), part.remark)


def _runs(draft: Draft) -> Iterator[str]:
    for number, way in enumerate(draft.ways, 1):
        yield from _run(f"W{number}", way)


def _run(id: str, way: Way) -> Iterator[str]:
    stretches = len(way.path) - 1
    lengths = f"length: {UNKNOWN}" if stretches == 1 else f"lengths: [{', '.join([UNKNOWN] * stretches)}]"
    more = f", {_pairs(way.fields)}" if way.fields else ""
    return _remarked([f"  - {{id: {id}, path: [{', '.join(way.path)}], {lengths}{more}}}"], way.remark)


def _pairs(fields: Mapping[str, str]) -> str:
    return ", ".join(f"{key}: {_scalar(value)}" for key, value in fields.items())


def _scalar(text: str) -> str:
    """A text as YAML, in quotes where it would be read as something else."""
    if re.fullmatch(r"[\w][\w ./%°²+-]*", text) and text.casefold() not in ("null", "yes", "no", "on", "off"):
        return text
    return "'" + text.replace("'", "''") + "'"


def _broken(line: str, widest: int) -> list[str]:
    """A long line broken behind commas, what follows indented below what it belongs to."""
    lines, indent = [""], " " * (widest + 3)
    for piece in line.split(", "):
        joined = f"{lines[-1]}, {piece}" if lines[-1] else piece
        if len(joined) <= WIDTH:
            lines[-1] = joined
        else:
            lines[-1] += ","
            lines.append(indent + piece)
    return lines


def _remarked(lines: list[str], remark: str) -> Iterator[str]:
    """Lines with a remark behind the last one, or above the first where that would be too long."""
    if not remark:
        yield from lines
    elif len(lines[-1]) + len(remark) + 5 <= WIDTH:
        yield from [*lines[:-1], f"{lines[-1]}   # {remark}"]
    else:
        yield from [
            f"  # {lines[0].split(':')[0].strip()}: {remark}" if ":" in lines[0][:8] else f"  # {remark}",
            *lines,
        ]
