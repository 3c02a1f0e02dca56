"""Breaks a spec as people, editors and bad transfers do: a value, a reference, the structure, the text, its bytes."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable, Iterator
from random import Random
from typing import Any

from fuzz.systems import PLAUSIBLE, Spec

NUMBERS = (
    "0", "-1", "1e400", "-1e400", "1e-400", "nan", "inf", "-inf", ".inf", ".nan", "Infinity", "1e308", "9e99", "1e9",
    "0.000000001", "-0", "010", "0x1F", "1_000", "1,200", "1.2.3", "１２", "٣", "½", "1e", "+", "9" * 400,
    "1" + "0" * 70,
)  # fmt: skip
UNITS = (
    "V",
    "A",
    "W",
    "kW",
    "Ah",
    "m",
    "mm",
    "ft",
    "in",
    "mm²",
    "AWG",
    "°C",
    "K",
    "Ω",
    "mΩ",
    "%",
    "h/day",
    "GW",
    "",
    "'",
)
TEXTS = (
    "", " ", "x" * 10_000, "😀" * 300, "שלום עולם", "مرحبا", "a\u202eb\u202c", "\u200b", "\ufeff", "e\u0301", "\x07",
    "\x1b[31mred\x1b[0m", "a\nb", "a\tb", "a\x85b", "a\u2028b",
    "<script>alert(1)</script>", "&amp;&#0;", "]]>", "$HOME",
    "%s%n{0}{x}", "=1+1", "@SUM(A1)", "../../etc/passwd", "/dev/zero", "| a | b |", "# head", "[a](javascript:x)",
    "`x`",
    "\\", "'", '"', "NULL", "~", "yes", "ﬁ", "İ", "ß", "\U000e0041", "\ud800", "unknown", "B1+", ".", "-",
)  # fmt: skip
OTHERS: tuple[object, ...] = (None, True, False, [], {}, [[]], {"a": {"b": 1}}, 0, -1, 1.5, 10**30, [None], [""])
TOKENS = (
    "&a ", "*a", "<<: *a", "!!int ", "---\n", "...\n", "|\n", "> ", "\t", "? ", "- ", ": ", "{", "}", "[", "]", "'",
    '"', "#", "%YAML 1.1\n", "\r", "\x00", "\ufeff", "@", "`", "\\", ",", "\n\n", " ",
)  # fmt: skip

Place = tuple[Any, Any]
"""A container and the key or index within it."""


def places(value: object) -> Iterator[Place]:
    """Every place in a spec where a value stands."""
    inner = (
        list(value.items()) if isinstance(value, dict) else list(enumerate(value)) if isinstance(value, list) else ()
    )
    for key, item in inner:
        yield value, key
        yield from places(item)


def mutated(spec: Spec, chance: Random, most: int = 4) -> Spec:
    """A spec with one to some of its places broken."""
    broken = copy.deepcopy(spec)
    for _ in range(chance.randint(1, most)):
        chance.choice(MUTATIONS)(broken, chance)
    return broken


def _any_place(spec: Spec, chance: Random) -> Place:
    found = list(places(spec))
    return chance.choice(found) if found else (spec, "rigline")


def _hostile(chance: Random) -> object:
    which = chance.random()
    if which < 0.45:
        return f"{chance.choice(NUMBERS)} {chance.choice(UNITS)}".strip()
    if which < 0.6:
        return chance.choice(chance.choice(list(PLAUSIBLE.values())))
    return chance.choice(TEXTS) if which < 0.85 else copy.deepcopy(chance.choice(OTHERS))


def _replace(spec: Spec, chance: Random) -> None:
    container, key = _any_place(spec, chance)
    container[key] = _hostile(chance)


def _scale(spec: Spec, chance: Random) -> None:
    """A number a thousand or a billion times as large or small."""
    amounts = [(c, k) for c, k in places(spec) if isinstance(c[k], str) and c[k][:1].isdigit() and " " in c[k]]
    if amounts:
        container, key = chance.choice(amounts)
        number, _, unit = container[key].partition(" ")
        by = chance.choice((0.0, 1e-9, 1e-3, 0.1, 10.0, 1e3, 1e6))
        try:
            container[key] = f"{float(number) * by:.12g} {unit}"
        except ValueError:
            container[key] = f"{number}{unit}"


def _unit(spec: Spec, chance: Random) -> None:
    amounts = [(c, k) for c, k in places(spec) if isinstance(c[k], str) and c[k][:1].isdigit()]
    if amounts:
        container, key = chance.choice(amounts)
        container[key] = f"{container[key].split(' ')[0]} {chance.choice(UNITS)}"


def _delete(spec: Spec, chance: Random) -> None:
    container, key = _any_place(spec, chance)
    del container[key]


def _swap(spec: Spec, chance: Random) -> None:
    one, other = _any_place(spec, chance), _any_place(spec, chance)
    first, second = copy.deepcopy(one[0][one[1]]), copy.deepcopy(other[0][other[1]])
    one[0][one[1]], other[0][other[1]] = second, first


def _rename(spec: Spec, chance: Random) -> None:
    mappings = [(c, k) for c, k in places(spec) if isinstance(c, dict)]
    if mappings:
        container, key = chance.choice(mappings)
        container[str(chance.choice((*TEXTS, "kind", "W1", f"{key}s")))] = container.pop(key)


def _paths(spec: Spec) -> list[list[Any]]:
    runs = spec.get("runs")
    listed = [run.get("path") for run in runs if isinstance(run, dict)] if isinstance(runs, list) else []
    return [path for path in listed if isinstance(path, list) and path]


def _reference(spec: Spec, chance: Random) -> None:
    """A stop of a path led elsewhere: to another component, another terminal or pole, or nothing."""
    found, components = _paths(spec), spec.get("components")
    if found and isinstance(components, dict) and components:
        path = chance.choice(found)
        tail = chance.choice(("", "", "+", "-", ".ac-in", ".dc", ".case", ".L1", ".N", ".in", ".out", ".nothing", "."))
        path[chance.randrange(len(path))] = f"{chance.choice(list(components))}{tail}"


def _reorder(spec: Spec, chance: Random) -> None:
    """A path turned round, doubled, cut, or one that closes on itself."""
    if found := _paths(spec):
        path = chance.choice(found)
        turns: tuple[Callable[[], object], ...] = (
            path.reverse, lambda: path.append(path[0]), path.pop, lambda: path.extend(path),
            lambda: chance.shuffle(path),
        )  # fmt: skip
        chance.choice(turns)()


def _link(spec: Spec, chance: Random) -> None:
    """A further run between any two components: ties, rings, shorts, feeds from both ends."""
    runs, components = spec.get("runs"), spec.get("components")
    if isinstance(runs, list) and isinstance(components, dict) and len(components) > 1:
        one, other = chance.sample(list(components), 2)
        ends = chance.choice((("", ""), ("+", "-"), ("+", "+"), ("-", "-"), (".case", "-")))
        runs.append({"path": [f"{one}{ends[0]}", f"{other}{ends[1]}"], "length": "0.5 m"})


def _double(spec: Spec, chance: Random) -> None:
    """A run or component given a second time."""
    runs = spec.get("runs")
    if isinstance(runs, list) and runs:
        runs.append(copy.deepcopy(chance.choice(runs)))


def _nest(spec: Spec, chance: Random) -> None:
    container, key = _any_place(spec, chance)
    value = container[key]
    for _ in range(chance.choice((1, 2, 60))):
        value = [value] if chance.random() < 0.5 else {"a": value}
    container[key] = value


def _long_name(spec: Spec, chance: Random) -> None:
    components = spec.get("components")
    if isinstance(components, dict):
        named = [fields for fields in components.values() if isinstance(fields, dict)]
        if named:
            length = chance.choice((40, 300, 301, 10_000))
            chance.choice(named)["name"] = chance.choice(("W", "i", "漢", "ب", "😀", "a ")) * length


MUTATIONS: tuple[Callable[[Spec, Random], None], ...] = (
    _replace, _replace, _scale, _scale, _scale, _unit, _unit, _delete, _delete, _swap, _rename, _reference, _reference,
    _reference, _reorder, _reorder, _link, _link, _link, _double, _nest, _long_name,
)  # fmt: skip


def text_of(spec: Spec) -> str:
    """A spec as flow YAML, which is also JSON, one component and run on a line."""

    def dumped(value: object) -> str:
        return json.dumps(value, ensure_ascii=False, default=str)

    lines = []
    for key, value in spec.items():
        if key == "components" and isinstance(value, dict) and value:
            lines += ["components:", *(f"  {dumped(id)}: {dumped(fields)}" for id, fields in value.items())]
        elif key == "runs" and isinstance(value, list) and value:
            lines += ["runs:", *(f"- {dumped(run)}" for run in value)]
        else:
            lines.append(f"{dumped(key)}: {dumped(value)}")
    return "\n".join(lines) + "\n"


def bytes_of(text: str) -> bytes:
    """Its bytes; half a surrogate pair stays half a pair."""
    return text.encode("utf-8", "surrogatepass")


def broken_bytes(data: bytes, chance: Random) -> bytes:
    """Bytes flipped, cut, doubled, or mixed with pieces of YAML."""
    made = bytearray(data)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(made) + 1)
        how = chance.randrange(6)
        if how == 0 and made:
            made[at % len(made)] ^= 1 << chance.randrange(8)
        elif how == 1:
            del made[at : at + chance.choice((1, 2, 10, 200))]
        elif how == 2:
            made[at:at] = made[at : at + chance.randint(1, 80)]
        elif how == 3:
            made[at:at] = bytes_of(chance.choice(TOKENS))
        elif how == 4:
            made[at:at] = bytes_of(chance.choice((*TEXTS, *NUMBERS)))
        elif chance.random() < 0.2:
            del made[at:]
    return bytes(made)
