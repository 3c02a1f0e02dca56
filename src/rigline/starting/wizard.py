"""Asks the questions on a terminal, one at a time; an answer that can't be used is asked for again with the reason."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from typing import Any, Final

from msgspec import Struct

from rigline.starting.answers import NONE, UNKNOWN, Answers, amount_or, chosen, loads_in

Ask = Callable[[str], str]
"""Shows a prompt and returns the line that was typed; raises EOFError at the end of input."""
Say = Callable[[str], None]

WIDTH: Final = 80
WELCOME: Final = """\
A few questions, and you have a first plan that can be drawn and checked. Nothing is written before the last one;
Ctrl-C stops. What you don't know yet may stay unknown: the check asks for it later."""


class Question(Struct, frozen=True):
    """One question: its text, the choices if it has some, and how its answer is read."""

    key: str
    text: str
    read: Callable[[str], Any]
    choices: Sequence[str] = ()


def _choice(key: str, text: str, words: Sequence[str], labels: Sequence[str], values: Sequence[Any] = ()) -> Question:
    meant = dict(zip(words, values or words, strict=True))
    return Question(key, text, lambda typed: meant[chosen(typed, tuple(words), tuple(labels))], tuple(labels))


QUESTIONS: Final = (
    _choice(
        "what", "What do you wire?", ("camper", "trailer", "boat", "cabin"),
        ("camper (van, bus, motor home)", "trailer (caravan, workshop)", "boat", "cabin (hut, tiny house)"),
    ),
    _choice(
        "region", "Where is it used?", ("america", "elsewhere"),
        ("America: 120 V outlets, wire in AWG", "elsewhere: 230 V outlets, wire in mm²"),
    ),
    _choice("body", "What is its body, hull or frame made of?", ("metal", "plastic", "wood"),
            ("metal", "plastic (glass fibre)", "wood")),
    _choice("voltage_v", "What voltage does the battery bank have?", ("12", "24", "48"), ("12 V", "24 V", "48 V"),
            (12, 24, 48)),
    _choice(
        "chemistry", "What kind of battery?", ("lifepo4", "agm", "gel", "flooded", UNKNOWN),
        ("lifepo4 (lithium iron phosphate)", "agm (lead, sealed)", "gel (lead, sealed)",
         "flooded (lead, with caps for water)", "unknown: not decided"),
    ),
    Question("capacity_ah", "Capacity of the whole bank, as in 200 Ah, or unknown:",
             lambda typed: amount_or(typed, "ah", UNKNOWN)),
    Question("sun_w", "Power of all solar panels together, as in 400 W, or none:",
             lambda typed: amount_or(typed, "w", NONE)),
    Question("shore_a", "Rating of the inlet for shore, grid or generator, as in 16 A or 30 A, or none:",
             lambda typed: amount_or(typed, "a", NONE)),
    Question("inverter_w", "Power of the inverter, as in 1000 W, or none:", lambda typed: amount_or(typed, "w", NONE)),
    Question("loads", "What runs on the battery? As in lights 24 W, fridge 60 W, pump 5 A, or none:", loads_in),
)  # fmt: skip
"""In the order in which they are asked."""

AGAIN: Final = ("voltage_v", "capacity_ah", "sun_w", "shore_a", "inverter_w", "loads")
"""What is asked again when the answers together make a system that the check objects to."""


def answers_from(ask: Ask, say: Say, objections: Callable[[Answers], list[str]]) -> Answers:
    """The answers to all questions, such that the check has no objection.

    Args:
        ask: Reads one line.
        say: Shows a line.
        objections: What the check calls a danger or a fault in the system that the answers make.

    Raises:
        EOFError: Input ended before the last answer.
    """
    say(WELCOME)
    given = {question.key: _asked(question, ask, say) for question in QUESTIONS}
    while found := objections(Answers(**given)):
        say("\nThese answers together make a system that the check objects to:")
        for objection in found:
            say(textwrap.fill(objection, WIDTH, initial_indent="  - ", subsequent_indent="    "))
        say("Change what is too much; Enter keeps what you said.")
        for question in QUESTIONS:
            if question.key in AGAIN:
                given[question.key] = _asked(question, ask, say, given)
    return Answers(**given)


def _asked(question: Question, ask: Ask, say: Say, given: dict[str, Any] | None = None) -> Any:
    """The answer to one question; with those given before, an empty line keeps the one there is."""
    say(f"\n{question.text}")
    for number, label in enumerate(question.choices, 1):
        say(f"  {number}  {label}")
    while True:
        typed = ask("> ")
        if given is not None and not typed.strip():
            return given[question.key]
        try:
            return question.read(typed)
        except ValueError as error:
            say(f"  {error}")
