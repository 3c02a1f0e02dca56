"""JSON keeps its own strict grammar; only the place of each value is added, which the standard library doesn't give.

The standard parser decides whether the text is JSON. A second, light pass over its tokens then makes the nodes.
"""

import json
import re
from typing import Any, Final

from rigline.spec.limits import DEEPEST_NESTING
from rigline.spec.reading_nodes import Mark, Node, Pairs, Scalar, mark_at, refusal, too_deep

_TOKEN: Final = re.compile(r'"(?:[^"\\]|\\.)*+"|[^\s"{}\[\]:,]+|[{}\[\]:,]')


def read_json(text: str, name: str) -> Node:
    """The nodes of a JSON text (RFC 8259).

    Raises:
        SpecError: Not JSON; NaN and Infinity, which aren't JSON either, included.
    """
    _refuse_unreadable(text, name)
    try:
        json.loads(text)
    except json.JSONDecodeError as error:
        mark = Mark(error.lineno, error.colno)
        message = f"this isn't JSON: {error.msg.lower()}"
        raise refusal(name, mark, message, "look for a missing quote or comma") from None
    return _Nodes(text).node()


def _refuse_unreadable(text: str, name: str) -> None:
    """What the standard parser would accept, or not survive: NaN, very long numbers, nesting as deep as the text."""
    longest_number_characters = 100
    depth = 0
    for token in _TOKEN.finditer(text):
        word = token[0]
        depth += {"{": 1, "[": 1, "}": -1, "]": -1}.get(word, 0)
        if depth > DEEPEST_NESTING + 1:
            raise too_deep(name, mark_at(text, token.start()))
        if word in ("NaN", "Infinity", "-Infinity") or (word[0] != '"' and len(word) > longest_number_characters):
            message = "this isn't a number that can be read"
            raise refusal(name, mark_at(text, token.start()), message, "write it in plain digits")


class _Nodes:
    """Nodes of a text that is known to be JSON, token by token."""

    def __init__(self, text: str) -> None:
        self._tokens = _TOKEN.finditer(text)
        self._text = text
        self._line = 1
        self._line_start = 0
        self._position = 0
        self._next()

    def _next(self) -> None:
        token = next(self._tokens, None)
        if token is None:
            self._token = ""
            return
        self._token = token[0]
        self._line += self._text.count("\n", self._position, token.start())
        self._line_start = max(self._line_start, self._text.rfind("\n", self._position, token.start()) + 1)
        self._position = token.start()

    def node(self) -> Node:
        mark = Mark(self._line, self._position - self._line_start + 1)
        opening = self._token
        value: Scalar | list[Node] | Pairs
        if opening == "{":
            value = self._pairs()
        elif opening == "[":
            value = self._items()
        else:
            value = self._scalar()
        self._next()
        return Node(value, mark)

    def _scalar(self) -> Scalar:
        value: Any = json.loads(self._token)
        assert value is None or isinstance(value, str | int | float)
        return value

    def _items(self) -> list[Node]:
        items = []
        self._next()
        while self._token != "]":
            items.append(self.node())
            self._skip(",")
        return items

    def _pairs(self) -> Pairs:
        pairs = []
        self._next()
        while self._token != "}":
            key = self.node()
            self._skip(":")
            pairs.append((key, self.node()))
            self._skip(",")
        return Pairs(pairs)

    def _skip(self, punctuation: str) -> None:
        if self._token == punctuation:
            self._next()
