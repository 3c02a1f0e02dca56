"""Keeps a marked block of somebody's own document up to date and leaves every other byte of it alone."""

from __future__ import annotations

from pathlib import Path

from rigline.errors import CommandError
from rigline.outputs.notes.blocks import Document
from rigline.outputs.notes.content import BLOCK
from rigline.outputs.notes.markdown import plain, section_lines

BEGIN = "<!-- rigline notes: begin -->"
END = "<!-- rigline notes: end -->"
LEVEL = 3
"""Of the headings in a block, which stands within a chapter of its document."""


def read_documents(names: list[str]) -> dict[str, bytes]:
    """Contents of the documents by name.

    Raises:
        CommandError: Some can't be read, or have no block; holds every problem.
    """
    contents, problems = {}, []
    for name in names:
        try:
            contents[name] = Path(name).read_bytes()
        except OSError as error:
            problems.append(f"{name} can't be read: {error.strerror}")
        else:
            problems += [problem for problem in [_problem(name, contents[name])] if problem]
    if problems:
        raise CommandError("; ".join(problems))
    return contents


def with_block(content: bytes, lines: list[str]) -> bytes:
    """A document with the lines between its marks, which it must have.

    The lines end as the line of the first mark does. Whatever the rest is written in, it stays.
    """
    found = content.splitlines(keepends=True)
    begin, end = (_at(content, mark)[0] for mark in (BEGIN, END))
    newline = b"\r\n" if found[begin].endswith(b"\r\n") else b"\n"
    block = b"".join(line.encode() + newline for line in lines)
    return b"".join(found[: begin + 1]) + block + b"".join(found[end:])


def block_lines(document: Document, pictures: list[str]) -> list[str]:
    """What stands between the marks: the check's result, the drawing and the tables to wire by."""
    named = {f"One-line diagram, sheet {n} of {len(pictures)}": name for n, name in enumerate(pictures, 1)}
    head = ["", plain(" · ".join((document.title, *document.facts))), "", f"Check: {plain(document.result)}", ""]
    chapters = [line for one in document.sections if one.id in BLOCK for line in section_lines(one, LEVEL, named)]
    return [*head, *chapters, plain(document.caution), ""]


def _at(content: bytes, mark: str) -> list[int]:
    """Lines, counted from 0, on which a mark stands by itself outside of any fenced code."""
    found, fence = [], b""
    for number, line in enumerate(content.splitlines()):
        bare = line.removeprefix(b"\xef\xbb\xbf").strip()
        if bare[:3] in (b"```", b"~~~") and (not fence or (bare.startswith(fence) and not bare.strip(fence[:1]))):
            fence = b"" if fence else bare[: len(bare) - len(bare.lstrip(bare[:1]))]
        elif not fence and bare == mark.encode():
            found.append(number)
    return found


def _problem(name: str, content: bytes) -> str | None:
    begins, ends = _at(content, BEGIN), _at(content, END)
    if len(begins) == len(ends) == 1 and begins[0] < ends[0]:
        return None
    if not begins and not ends:
        return (f"{name} has no block for the notes: write a line {BEGIN} and below it a line {END} where the drawing "
                "and the tables shall stand")  # fmt: skip
    places = ", ".join(f"line {n + 1}" for n in sorted((*begins, *ends)))
    return f"{name} needs one line {BEGIN} and below it one line {END}; marks found: {places}"
