"""A wrong spec or command is answered in plain words, all problems at once, never with a traceback.

    Exception
    ├── SpecError      the author's spec is wrong: holds every Problem found in it, sorted by place
    ├── CommandError   the command is wrong, or a file can't be read or written
    └── ValueError
        └── units.UnitProblem   one amount is wrong; whoever knows its place turns it into a Problem

An unsafe design is neither of these: it is a finding. Any other exception is a bug of ours. Both errors end the
command with exit code 2 and leave every existing file untouched.
"""

from collections.abc import Iterable
from difflib import get_close_matches

from msgspec import Struct

LONGEST_GOT_CHARACTERS = 60
"""A message shows this much of what came; more hides the point of the message on a phone."""


class Problem(Struct, frozen=True, order=True):
    """One thing wrong with a spec: where it stands, what is required, what came, and what to do.

    Attributes:
        file: Name of the spec, as given on the command line.
        line: From 1; 0 when the problem has no place in the text.
        column: From 1; 0 when unknown.
        where: What it belongs to, in the author's words ("W3 length").
        message: The requirement, or what is wrong.
        expected: What would be right, if the message doesn't say it.
        got: What came instead.
        remedy: One thing to do, as an order.
    """

    file: str
    line: int
    column: int
    where: str
    message: str
    expected: str = ""
    got: str = ""
    remedy: str = ""

    def text(self) -> str:
        """The whole problem on one line, place first.

        Example:
            >>> Problem("trailer.yaml", 14, 9, "W3 length", "give a unit, as in 3 m or 10 ft", got="3").text()
            'trailer.yaml:14:9: W3 length: give a unit, as in 3 m or 10 ft; got 3'
        """
        place = ":".join([self.file, *(str(number) for number in (self.line, self.column) if number)])
        parts = [self.message]
        if self.expected:
            parts.append(f"expected {self.expected}")
        if self.got:
            parts.append(f"got {_shortened(self.got)}")
        if self.remedy:
            parts.append(self.remedy)
        head = f"{place}: {self.where}" if self.where else place
        return printable(f"{head}: {'; '.join(parts)}")


class SpecError(Exception):
    """The author's spec is wrong.

    Attributes:
        problems: Everything found, sorted by file, line and column, each once.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(problem.text() for problem in self.problems))


class CommandError(Exception):
    """The command can't be carried out as given: a wrong option, or a file that can't be read or written."""


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The known word most like an unknown one, for "did you mean"; None if none is close.

    Example:
        >>> nearest("lenght", ["length", "wire"])
        'length'
    """
    # Comparing takes the product of both lengths; no name in a spec is this long.
    longest_name_characters = 60
    known = {candidate.casefold(): candidate for candidate in words}
    matches = get_close_matches(word[:longest_name_characters].casefold(), known, n=1, cutoff=0.6)
    return known[matches[0]] if matches else None


def _shortened(text: str) -> str:
    return text if len(text) <= LONGEST_GOT_CHARACTERS else text[: LONGEST_GOT_CHARACTERS - 1] + "…"


def printable(text: str) -> str:
    """Line breaks and control characters as visible escapes, so that a value or the name of a file can't forge a second
    message or command a terminal.

    Example:
        >>> printable("a\\x1b[31m.yaml")
        'a\\\\x1b[31m.yaml'
    """
    return "".join(char if char.isprintable() else char.encode("unicode_escape").decode() for char in text)
