"""Each form of value as JSON Schema: what the reader takes, as far as a schema can say it.

A schema sees a text's shape, not its sense: an efficiency of 900 % or a gauge beyond the series passes here and is
refused by the reader. It must never refuse what the reader takes, or an editor would mark right lines as wrong.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

from rigline.spec.fields import FieldForm
from rigline.spec.limits import MOST_OF_ONE
from rigline.units import QUANTITIES, SUFFIXES, Quantity

Schema = dict[str, Any]

_NUMBER: Final = r"[+\-−‐–]?[0-9.,][0-9 .,]*([eE][+-]?[0-9]{1,3})?"
_ALIKE: Final[Mapping[str, str]] = {
    "μ": "μµ", "Ω": "ΩΩω", "°": "°º", "²": "²", "'": "'′’", '"': '"″”', "·": "·⋅", "-": "-−‐–",
}  # fmt: skip
"""Characters that are read alike."""
_WIRES: Final = (
    r"(awg\s*#?\s*|#\s*)[0-9/]+", r"(#\s*)?[0-9/]+\s*awg", "[0-9]/0",
    r"[0-9]+([.,][0-9]+)?\s*(mm\s?(²|\^?2)|sq\.?\s?mm|sqmm|kcmil|mcm)",
)  # fmt: skip
EXAMPLES_OF_WIRE: Final = ("10 AWG", "2/0 AWG", "35 mm²")
DEFINITIONS_PREFIX: Final = "#/$defs/"


def ref(name: str) -> Schema:
    """A reference to a definition of the schema."""
    return {"$ref": f"{DEFINITIONS_PREFIX}{name}"}


def insensitive(pattern: str) -> str:
    """A pattern that takes small and capital letters alike; a letter behind a backslash stays.

    Example:
        >>> insensitive(r"mm\\s")
        '[mM][mM]\\\\s'
    """
    return re.sub(r"\\.|[a-zA-Z]", lambda m: m[0] if len(m[0]) > 1 else f"[{m[0].lower()}{m[0].upper()}]", pattern)


def quantity_schemas() -> dict[str, Schema]:
    """A definition for each quantity, by the suffix of its unit."""
    return {f"amount-{suffix}": _amount(suffix, quantity) for suffix, quantity in QUANTITIES.items()}


def plain_schemas() -> dict[str, Schema]:
    """Definitions of the other forms of value."""
    whole = rf"^\s*0*[1-9][0-9]{{0,{len(str(MOST_OF_ONE)) - 1}}}\s*$"
    stage = {"type": "string", "pattern": insensitive(r"^\s*(0*[1-9][0-9]?|later)\s*$")}
    return {
        "unknown": {
            "type": "string", "pattern": insensitive(r"^\s*unknown\s*$"), "examples": ["unknown"],
            "description": "A fact that nobody has: what depends on it is not assessed.",
        },
        "text": {"type": ["string", "number"], "pattern": r"\S"},
        "truth": {"type": "boolean"},
        "count": {"anyOf": [
            {"type": "integer", "minimum": 1, "maximum": MOST_OF_ONE}, {"type": "string", "pattern": whole},
        ]},
        "number": {"anyOf": [
            {"type": "number", "minimum": 0, "maximum": MOST_OF_ONE},
            {"type": "string", "pattern": r"^\s*[+-]?[0-9.][0-9._]*([eE][+-]?[0-9]+)?\s*$"},
        ]},
        "stage": {"anyOf": [{"type": "integer", "minimum": 1, "maximum": 99}, stage], "examples": [1, 2, "later"]},
        "wire": {
            "type": "string", "pattern": insensitive(rf"^\s*({'|'.join(_WIRES)})\s*$"),
            "examples": list(EXAMPLES_OF_WIRE),
        },
    }  # fmt: skip


def value_schema(forms: Sequence[FieldForm], record: Mapping[type, Schema]) -> Schema:
    """What a key takes, all its forms together.

    Args:
        forms: The forms of value that the key takes.
        record: Schema of each record that is a value itself.
    """
    if len(forms) > 1:
        # The unit tells the fields apart, so there must be one.
        return {"anyOf": [{"allOf": [{"type": "string"}, ref(f"amount-{form.suffix}")]} for form in forms]}
    form = forms[0]
    if form.form == "amount":
        value = ref(f"amount-{form.suffix}")
        return {"anyOf": [value, ref("truth")]} if form.truth_too else value
    if form.form == "amounts":
        item = {"anyOf": [ref(f"amount-{form.suffix}"), ref("unknown")]}
        return {"anyOf": [{"type": "array", "items": item, "minItems": 1}, ref(f"amount-{form.suffix}")]}
    if form.form == "texts":
        return {"anyOf": [{"type": "array", "items": ref("text"), "minItems": 1}, ref("text")]}
    if form.form == "choice":
        return _choice(form.choices)
    if form.form == "record":
        assert form.record is not None
        return {"anyOf": [record[form.record], ref("truth")]} if form.truth_too else record[form.record]
    return ref(form.form)


def examples_of(forms: Sequence[FieldForm]) -> list[str]:
    """How amounts of a key are written."""
    return [example for form in forms if form.suffix for example in QUANTITIES[form.suffix].examples]


def unit_of(forms: Sequence[FieldForm]) -> str:
    """The unit that a key's amounts are kept in, in words; empty if it takes none."""
    return " or ".join(SUFFIXES[form.suffix] for form in forms if form.suffix)


def _choice(choices: Sequence[str]) -> Schema:
    """The words themselves for completion, and the other spellings that are read as the same."""
    pattern = "|".join(insensitive(re.escape(choice)).replace(r"\-", "[-_ ]") for choice in choices)
    return {"anyOf": [{"enum": list(choices)}, {"type": "string", "pattern": rf"^\s*({pattern})\s*$"}]}


def _amount(suffix: str, quantity: Quantity) -> Schema:
    spellings = sorted({*quantity.units, *quantity.aliases}, key=lambda text: (-len(text), text))
    units = "|".join(_spelled(spelling) for spelling in spellings)
    patterns = [rf"{_NUMBER}\s*({units}){'?' if quantity.bare else ''}"] if units else [".*[0-9].*"]
    if "ft" in quantity.units:
        patterns.append(
            insensitive(r"""[0-9]+\s*(ft|foot|feet|['′’])\s*-?\s*[0-9.,]+\s*(in|inch|inches|["″”]|''|′′)""")
        )
    if quantity.base == "V":
        patterns.append(insensitive(r"[0-9.]+\s*/\s*[0-9.]+\s*v?"))
    if suffix == "c":
        patterns.append(rf"{_NUMBER}\s*[℃℉]")
    options: list[Schema] = [{"type": "string", "pattern": rf"^\s*({'|'.join(patterns)})\s*$"}]
    if quantity.bare:
        options.insert(0, {"type": "number", **({"minimum": 0} if quantity.lowest == 0 else {})})
    return {"anyOf": options, "description": f"{quantity.name[:1].upper()}{quantity.name[1:]}, {quantity.as_in}."}


def _spelled(unit: str) -> str:
    """A unit's spelling with any capitals and with spaces between its letters, as it is read."""
    letters = [f"[{re.escape(_ALIKE[c])}]" if c in _ALIKE else insensitive(re.escape(c)) for c in unit]
    return r"\s*".join(letters)
