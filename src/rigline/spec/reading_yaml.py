"""YAML as its authors mean it: what they type stays what they typed, and tricks are refused.

A general loader makes values of texts (`010`, `12:30`, `on`) and lets a repeated key win in silence. Here only the
events of a YAML 1.2 parser are used: unquoted true, false and null mean themselves, every other scalar stays text.
"""

import re
from types import SimpleNamespace
from typing import Any, Final

from msgspec import Struct, field
from ruamel.yaml.error import MarkedYAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentEndEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)
from ruamel.yaml.parser import Parser
from ruamel.yaml.reader import Reader
from ruamel.yaml.scanner import Scanner, ScannerError
from ruamel.yaml.tokens import ScalarToken, Token

from rigline.errors import SpecError
from rigline.spec.limits import DEEPEST_NESTING, MOST_VALUES
from rigline.spec.reading_nodes import Mark, Node, Pairs, Scalar, refusal, too_deep

MOST_TOKENS: Final = 8 * MOST_VALUES
"""A value takes at most about six tokens (key, scalar, value, entry, start, end of its collection)."""

PLAIN_WORDS: Final[dict[str, Scalar]] = {
    "true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False,
    "null": None, "Null": None, "NULL": None, "~": None, "": None,
}  # fmt: skip
"""Unquoted scalars that aren't text: null and bool of the core schema, YAML 1.2.2 section 10.3.2."""


class Hint(Struct, frozen=True):
    """What the parser's complaint means to somebody who doesn't know YAML.

    Attributes:
        complaint: Part of the parser's wording.
        message: The same in plain words.
        remedy: One thing to do.
        at_start: The place to look at is where the construct begins, not where the parser gave up.
    """

    complaint: str
    message: str
    remedy: str
    at_start: bool = False


HINTS: Final = (
    Hint(r"character '\t' that cannot start", "a tab stands where spaces are needed", "replace the tab by spaces"),
    Hint("that cannot start any token", "a text can't begin with this character", "put the text in quotes"),
    Hint(
        "mapping values are not allowed",
        "a colon can't stand here",
        "check the indentation, or put a text that holds a colon in quotes",
    ),
    Hint("scanning a quoted scalar found unexpected", "a quote is opened here and not closed", "close the quote", True),
    Hint("unknown escape character", "a backslash starts a code in double quotes", "use single quotes instead"),
    Hint("expected escape sequence", "a backslash starts a code in double quotes", "use single quotes instead"),
    Hint("expected ',' or '}'", "a brace { is opened here and not closed, or a comma is missing behind it",
         "look for the missing comma or }", True),
    Hint("expected ',' or ']'", "a bracket [ is opened here and not closed, or a comma is missing behind it",
         "look for the missing comma or ]", True),
    Hint("parsing a flow", "a brace or bracket is opened here and not closed", "close it", True),
    Hint("could not find expected ':'", "a key stands here without a colon", "write `key: value`", True),
    Hint("expected <block end>", "this line doesn't line up with the lines above it", "give it their indentation"),
    Hint("sequence entries are not allowed", "a list can't begin here", "put the - on a line of its own"),
    Hint("expected '<document start>'", "this line doesn't belong to what stands above it", "check its indentation"),
    Hint("directive", "a line can't begin with %", "delete the line, or put a text that begins with % in quotes"),
    Hint("scanning an alias", "a text can't begin with *", "put the text in quotes"),
    Hint("scanning an anchor", "a text can't begin with &", "put the text in quotes"),
    Hint("block scalar", "behind | or > the text goes on the next lines", "put a text that begins with it in quotes"),
)  # fmt: skip
"""First match wins."""


def read_yaml(text: str, name: str) -> Node | None:
    """The nodes of a text without control characters and carriage returns; None if it holds only comments.

    Raises:
        SpecError: Not YAML, or something in it that a spec doesn't use (tags, several documents, keys that are lists).
    """
    try:
        return _Composer(name, _parser(text, name)).document()
    except MarkedYAMLError as error:
        raise _explained(error, name) from None


class _QuickReader(Reader):
    """The characters of a text whose lines all end in a line feed; steps over many at once."""

    def check_printable(self, data: Any) -> None:
        """Control characters were refused before; asking again takes a fifth of the reading."""

    def peek(self, index: int = 0) -> str:
        position = self.pointer + index
        return self.buffer[position] if position < len(self.buffer) else "\0"

    def forward(self, length: int = 1) -> None:
        passed = self.buffer[self.pointer : self.pointer + length]
        self.pointer += length
        self.index += length
        if "\n" in passed:
            self.line += passed.count("\n")
            self.column = len(passed) - passed.rfind("\n") - 1
        else:
            self.column += length

    def get_mark(self) -> Mark:
        return Mark(self.line + 1, self.column + 1)


# Words with single spaces between them, up to what ends a value in braces or makes them a key: most of a spec. The
# general scanner decides on everything else; this one only saves its going through them letter by letter.
_SIMPLE_PLAIN = re.compile(r"[\w./%°²+-]++(?: [\w./%°²+-]++)*+(?=[,}\]]|: )")
_SIMPLE_BLOCK_PLAIN = re.compile(r"[\w./%°²+-]++(?: [\w./%°²+-]++)*+(?=:[ \n])")


class _QuickScanner(Scanner):
    """Scans the whole text ahead, so the parser needn't ask before every token whether there are enough."""

    reader: Any = None

    def __init__(self, reader: Reader) -> None:
        self.reader = reader
        super().__init__(SimpleNamespace(processing_version=(1, 2)))

    def stale_possible_simple_keys(self) -> None:
        if self.possible_simple_keys:
            super().stale_possible_simple_keys()

    def check_key(self) -> bool:
        # In braces the general scanner takes any ? for the sign of a key, so {rating: ?} would be a key without name.
        return self.reader.peek(1) in "\0 \t\n"

    def fetch_directive(self) -> None:
        raise ScannerError(None, None, "directive", self.reader.get_mark())

    def scan_plain(self) -> Any:
        pattern = _SIMPLE_PLAIN if self.flow_context else _SIMPLE_BLOCK_PLAIN
        found = pattern.match(self.reader.buffer, self.reader.pointer)
        if not found:
            return super().scan_plain()
        start_mark = self.reader.get_mark()
        self.reader.forward(found.end() - found.start())
        self.allow_simple_key = False
        return ScalarToken(found[0], True, start_mark, self.reader.get_mark())


class _QuickParser(Parser):
    """A parser that needn't look for its scanner at every question."""

    scanner: Any = None

    def __init__(self, tokens: list[Token]) -> None:
        self.scanner = _Tokens(tokens)
        super().__init__(SimpleNamespace(_resolver=SimpleNamespace(processing_version=(1, 2)), comment_handling=None))


class _Tokens(Struct):
    """A finished list of tokens, with the questions a parser asks of its scanner."""

    tokens: list[Token]
    next: int = 0

    def check_token(self, *choices: type[Token]) -> bool:
        return self.next < len(self.tokens) and (not choices or isinstance(self.tokens[self.next], choices))

    def peek_token(self) -> Token | None:
        return self.tokens[self.next] if self.next < len(self.tokens) else None

    def get_token(self) -> Token | None:
        token = self.peek_token()
        self.next += 1
        return token


def _parser(text: str, name: str) -> Parser:
    reader = _QuickReader(text)
    scanner = _QuickScanner(reader)
    while not scanner.done:
        try:
            scanner.fetch_more_tokens()
        except (ValueError, OverflowError):
            # The scanner hands the number of an escape such as "\UFFFFFFFF" on without looking at it.
            message = "a code behind a backslash isn't a character"
            raise refusal(name, reader.get_mark(), message, "use single quotes instead") from None
        if len(scanner.flow_context) + len(scanner.indents) > 2 * DEEPEST_NESTING:
            raise too_deep(name, reader.get_mark())
        if len(scanner.tokens) > MOST_TOKENS:
            raise refusal(name, reader.get_mark(), f"a spec has at most {MOST_VALUES} values")
    return _QuickParser(scanner.tokens)


class _Composer(Struct):
    """Makes nodes of the parser's events, and refuses what a spec doesn't use."""

    name: str
    parser: Parser
    anchors: dict[str, Node] = field(default_factory=dict)
    open_anchors: set[str] = field(default_factory=set)

    def document(self) -> Node | None:
        self.parser.get_event()
        if isinstance(self.parser.peek_event(), StreamEndEvent):
            return None
        self.parser.get_event()
        node = self._node(0)
        while isinstance(self.parser.peek_event(), DocumentEndEvent):
            self.parser.get_event()
        further = self.parser.peek_event()
        if isinstance(further, DocumentStartEvent):
            raise self._refused(further, "a second document begins here", "keep one system in one file, without ---")
        return node

    def _node(self, depth: int) -> Node:
        event = self.parser.get_event()
        if isinstance(event, AliasEvent):
            return self._alias(event)
        if depth > DEEPEST_NESTING:
            raise too_deep(self.name, event.start_mark)
        if event.tag is not None:
            remedy = "put a text that begins with ! in quotes"
            raise self._refused(event, "tags such as !name aren't used in a spec", remedy)
        if event.anchor is not None:
            self.open_anchors.add(event.anchor)
        node = Node(self._value(event, depth), event.start_mark)
        if event.anchor is not None:
            self.open_anchors.discard(event.anchor)
            self.anchors[event.anchor] = node
        return node

    def _value(self, event: Event, depth: int) -> Scalar | list[Node] | Pairs:
        if isinstance(event, ScalarEvent):
            text = str(event.value)
            return text if event.style else PLAIN_WORDS.get(text, text)
        if isinstance(event, SequenceStartEvent):
            return self._items(depth)
        assert isinstance(event, MappingStartEvent)
        return self._pairs(depth)

    def _items(self, depth: int) -> list[Node]:
        items = []
        while not isinstance(self.parser.peek_event(), SequenceEndEvent):
            items.append(self._node(depth + 1))
        self.parser.get_event()
        return items

    def _pairs(self, depth: int) -> Pairs:
        pairs = []
        while not isinstance(self.parser.peek_event(), MappingEndEvent):
            pairs.append((self._key(depth), self._node(depth + 1)))
        self.parser.get_event()
        return Pairs(pairs)

    def _key(self, depth: int) -> Node:
        event = self.parser.peek_event()
        if not isinstance(event, ScalarEvent):
            raise self._refused(event, "a key is a plain word", "write `key: value`, without brackets around the key")
        if not event.style and event.value == "<<":
            remedy = "write the fields out, or use a parts library"
            raise self._refused(event, "merging with << isn't used in a spec", remedy)
        if not event.value:
            raise self._refused(event, "a key is missing before the colon", "write `key: value`")
        self._node(depth)
        return Node(str(event.value), event.start_mark)

    def _alias(self, event: Any) -> Node:
        if event.anchor in self.anchors and event.anchor not in self.open_anchors:
            return self.anchors[event.anchor]
        if event.anchor in self.open_anchors:
            raise self._refused(event, f"*{event.anchor} stands within what it refers to", "write the values out")
        raise self._refused(event, f"there is no &{event.anchor} above", "put a text that begins with * in quotes")

    def _refused(self, event: Any, message: str, remedy: str) -> SpecError:
        return refusal(self.name, event.start_mark, message, remedy)


def _explained(error: MarkedYAMLError, name: str) -> SpecError:
    complaint = f"{error.context or ''} {error.problem or ''}"
    hint = next((hint for hint in HINTS if hint.complaint in complaint), None)
    at = error.context_mark if hint and hint.at_start and error.context_mark else error.problem_mark
    mark = at or Mark(1, 1)
    if hint is None:
        message = f"this isn't YAML that can be read ({error.problem})"
        return refusal(name, mark, message, "check this line and the one above")
    return refusal(name, mark, hint.message, hint.remedy)
