"""Answers that hold for a whole system, worked out when first asked for and kept with it.

Many rules ask the same question: what is one bank, what does each source feed. The answer must not depend on anything
but what it is asked of and what it is asked about.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import wraps
from typing import Any, Concatenate, ParamSpec, Protocol, TypeVar


class Keeper(Protocol):
    """What answers are kept with: a graph or a study."""

    @property
    def answers(self) -> dict[Hashable, Any]:
        """Question and what it was about -> the answer."""


K = TypeVar("K", bound=Keeper)
P = ParamSpec("P")
A = TypeVar("A")
_NO_ANSWER = object()


def kept(question: Callable[Concatenate[K, P], A]) -> Callable[Concatenate[K, P], A]:
    """The same question, answered once for each graph or study and for each thing it is asked about."""

    @wraps(question)
    def answered(keeper: K, /, *about: P.args, **named: P.kwargs) -> A:
        key = (question, about, *named.items())
        answer = keeper.answers.get(key, _NO_ANSWER)
        if answer is _NO_ANSWER:
            answer = keeper.answers[key] = question(keeper, *about, **named)
        return answer  # type: ignore[no-any-return]

    return answered
