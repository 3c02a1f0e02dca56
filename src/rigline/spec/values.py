"""One reader for each form of value: what the author wrote becomes the record's value, or a requirement in plain words.

A message says what is required; the value that came and its place are added by whoever shows it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Final

from rigline.spec.everyday import choice_meant
from rigline.spec.fields import FieldForm
from rigline.spec.limits import LONGEST_TEXT_CHARACTERS, MOST_OF_ONE, senseless
from rigline.spec.stages import STAGE_RULE, stage_of
from rigline.standards.wire import WireSizeProblem, parse_wire_size
from rigline.units import QUANTITIES, UnitProblem, parse_amount

UNKNOWN: Final = "unknown"
"""The word for a fact that nobody has."""

_TRUTH_OF_WORD: Final[Mapping[str, str]] = {
    "yes": "true", "y": "true", "on": "true", "1": "true", "true": "true",
    "no": "false", "n": "false", "off": "false", "0": "false", "false": "false", "none": "false",
}  # fmt: skip

_EXAMPLE_OF_LIST: Final[Mapping[str, str]] = {
    "path": "[B1, F1, BUS1]", "cores": "[L, N, PE]", "stud": "[M8, M10]", "at": "[0.5 m, 1 m, 0 m]"
}  # fmt: skip

Value = tuple[str, object]


def is_unknown(value: object) -> bool:
    """Whether the author wrote that nobody knows."""
    return isinstance(value, str) and value.strip().casefold() == UNKNOWN


def shown(value: object) -> str:
    """What came, for a message."""
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return str(value).lower()
    return "a mapping" if isinstance(value, dict) else "a list" if isinstance(value, list) else str(value)


class ValueProblem(ValueError):
    """A value isn't what its key takes.

    Attributes:
        got: What came.
        remedy: What to do; may be empty.
    """

    def __init__(self, message: str, value: object, remedy: str = "") -> None:
        super().__init__(message)
        self.got = shown(value)
        self.remedy = remedy


def by_unit(value: object, forms: tuple[FieldForm, ...]) -> Value:
    """Fields that share a key are told apart by the unit that was written, so a unit must be written."""
    text = str(value).strip()
    unit = re.sub(r"^[^A-Za-zμµΩ%°]+", "", text) if isinstance(value, str) else ""
    for form in forms:
        if unit and _is_unit(unit, form.suffix):
            return form.field, _amount(value, form)
    raise ValueProblem("give " + ", or ".join(QUANTITIES[form.suffix].expected for form in forms), value)


def _is_unit(unit: str, suffix: str) -> bool:
    try:
        parse_amount(f"1 {unit}", suffix)
    except UnitProblem:
        return False
    return True


def _amount(value: object, form: FieldForm) -> object:
    try:
        amount = parse_amount(value, form.suffix)
    except UnitProblem as problem:
        raise ValueProblem(str(problem), value, _remedy_for_nothing(value)) from None
    if wrong := senseless(float(amount), form.field, form.suffix):
        raise ValueProblem(wrong, value)
    return amount


def _remedy_for_nothing(value: object) -> str:
    return "write unknown if nobody knows it, or delete the key" if value is None else ""


def _amount_or_unknown(value: object, form: FieldForm) -> object:
    return None if is_unknown(value) else _amount(value, form)


def require_list(value: object, form: FieldForm) -> object:
    """A list as it came; a text alone counts as a list of one."""
    if isinstance(value, list) and value:
        return value
    example = _EXAMPLE_OF_LIST.get(form.field, "[...]")
    if form.field == "sun_h_per_day":
        raise ValueProblem("give a list of twelve, as in [1.2 h/day, 2.1 h/day, ...] from January", value)
    if form.form == "amounts":
        raise ValueProblem("give a list, one for each stretch of the path, as in [150 mm, 1.2 m]", value)
    if isinstance(value, str) and re.search(r"[,>→]", value):
        raise ValueProblem(f"give a list in brackets, as in {example}", value)
    if value is None or isinstance(value, bool | list | dict):
        raise ValueProblem(f"give a list, as in {example}", "an empty list" if value == [] else value)
    return [value]


def _number(value: object, form: FieldForm) -> object:
    try:
        number = float(value) if isinstance(value, str | int | float) and not isinstance(value, bool) else -1.0
    except (ValueError, OverflowError):
        number = -1.0
    if not 0 <= number <= MOST_OF_ONE:
        raise ValueProblem(f"give a plain number from 0 to {MOST_OF_ONE}", value)
    return number


def _count(value: object, form: FieldForm) -> object:
    longest_digits = 8
    text = str(value).strip()
    is_whole = text.isascii() and text.isdigit() and len(text) <= longest_digits
    if isinstance(value, bool) or not is_whole or not 1 <= int(text) <= MOST_OF_ONE:
        raise ValueProblem(f"give a whole number from 1 to {MOST_OF_ONE}", value)
    return int(text)


def _text(value: object, form: FieldForm) -> object:
    if value is None or isinstance(value, dict | list):
        raise ValueProblem("give a text", value, "delete the key if there is none" if value is None else "")
    if isinstance(value, bool):
        raise ValueProblem("give a text", value, "put it in quotes if you mean the word")
    text = " ".join("".join(char if char.isprintable() else " " for char in str(value)).split())
    if not text:
        raise ValueProblem("give a text", None, "delete the key if there is none")
    if len(text) > LONGEST_TEXT_CHARACTERS:
        raise ValueProblem(f"give at most {LONGEST_TEXT_CHARACTERS} characters", f"{len(text)} characters")
    return text


def _truth(value: object, form: FieldForm) -> object:
    if isinstance(value, bool):
        return value
    also = ", or give its limits, as in {max-discharge: 100 A}" if form.truth_too else ""
    meant = _TRUTH_OF_WORD.get(str(value).strip().casefold())
    raise ValueProblem(f"say true or false{also}", value, f"write {meant}, without quotes" if meant else "")


def _choice(value: object, form: FieldForm) -> object:
    text = shown(value).strip()
    plain = text.casefold().replace(" ", "-").replace("_", "-")
    found = {choice.casefold(): choice for choice in form.choices}.get(plain)
    if found is None:
        near = choice_meant(text, form.choices)
        raise ValueProblem(f"say one of {', '.join(form.choices)}", value, f"did you mean {near}?" if near else "")
    return found


def _wire(value: object, form: FieldForm) -> object:
    if value is None or isinstance(value, bool | dict | list):
        remedy = "write unknown if nobody knows it, or delete the key to have it sized" if value is None else ""
        raise ValueProblem("give a gauge as in 10 AWG, or an area as in 35 mm²", value, remedy)
    try:
        return parse_wire_size(str(value))
    except WireSizeProblem as problem:
        raise ValueProblem(str(problem).removeprefix(f"wire size '{value}': "), value) from None


def _stage(value: object, form: FieldForm) -> object:
    stage = None if value is None else stage_of(shown(value))
    if stage is None:
        raise ValueProblem(STAGE_RULE, value)
    return stage


READERS: Final[Mapping[str, Callable[[object, FieldForm], object]]] = {
    "amount": _amount,
    "amount or unknown": _amount_or_unknown,
    "number": _number,
    "count": _count,
    "text": _text,
    "truth": _truth,
    "choice": _choice,
    "wire": _wire,
    "stage": _stage,
}
"""Form -> its reader."""
