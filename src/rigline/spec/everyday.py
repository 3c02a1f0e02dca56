"""Everyday words for kinds and keys: people guess a name before they look it up, and the answer should know it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from rigline.errors import nearest

KIND_OF_WORD: Final[Mapping[str, str]] = {
    "lithium": "battery", "accumulator": "battery", "battery-bank": "battery",
    "solar": "pv-array", "solar-panel": "pv-array", "solar-array": "pv-array", "panel": "pv-array", "pv": "pv-array",
    "mppt": "charge-controller", "pwm": "charge-controller", "solar-controller": "charge-controller",
    "controller": "charge-controller", "regulator": "charge-controller",
    "charger": "ac-charger", "battery-charger": "ac-charger", "dc-dc": "dc-charger", "dcdc": "dc-charger",
    "dc-dc-charger": "dc-charger", "buck": "dc-converter", "converter": "dc-converter",
    "bus": "busbar", "bus-bar": "busbar", "fuse-box": "fuse-block", "fusebox": "fuse-block",
    "fuse-panel": "fuse-block", "distribution": "dc-panel", "consumer-unit": "ac-panel", "breaker-panel": "ac-panel",
    "circuit-breaker": "breaker", "mcb": "breaker", "isolator": "switch", "disconnect": "switch",
    "battery-switch": "switch", "contactor": "relay", "solenoid": "relay", "plug": "connector",
    "gfci": "rcd", "rccb": "rcd", "rcbo": "rcd", "changeover-switch": "transfer-switch", "ats": "transfer-switch",
    "outlet": "receptacle", "socket": "receptacle", "light": "dc-load", "lights": "dc-load",
    "lamp": "dc-load", "led": "dc-load", "fridge": "dc-load", "fan": "dc-load", "heater": "dc-load", "load": "dc-load",
    "pump": "motor", "windlass": "motor", "starter": "motor", "winch": "motor", "appliance": "ac-load",
    "shore": "shore-inlet", "shore-power": "shore-inlet", "inlet": "shore-inlet", "grid": "shore-inlet",
    "ground": "chassis", "earth": "chassis", "frame": "chassis", "hull": "chassis", "ground-rod": "earth-electrode",
    "earth-rod": "earth-electrode", "ground-bus": "earth-bus", "wind": "wind-turbine", "hydro": "hydro-turbine",
    "genset": "generator", "car-battery": "vehicle-battery", "starter-battery": "battery",
    "current-sensor": "shunt", "battery-monitor": "monitor",
}  # fmt: skip
"""Word -> kind."""

KEYS_OF_WORD: Final[Mapping[str, Sequence[str]]] = {
    "amps": ("rating", "current"), "amperage": ("rating", "current"), "ampere": ("rating", "current"),
    "size": ("rating", "wire"), "current": ("rating",), "watts": ("power", "pmax"), "wattage": ("power", "pmax"),
    "wp": ("pmax",), "volts": ("voltage",), "ah": ("capacity",), "gauge": ("wire",), "awg": ("wire",),
    "cable": ("wire",), "cross-section": ("wire",), "section": ("wire",), "colour": ("color",), "from": ("path",),
    "to": ("path",), "via": ("path",), "distance": ("length",), "label": ("name",), "description": ("note",),
    "comment": ("note",), "remark": ("note",), "weight": ("mass",), "cost": ("price",), "location": ("place",),
    "quantity": ("count",), "qty": ("count",), "amount": ("count",), "hours": ("use",), "type": ("kind", "style"),
    "wires": ("runs",), "cables": ("runs",), "connections": ("runs",), "circuits": ("runs",), "parts-list": ("parts",),
    "devices": ("components",), "equipment": ("components",), "version": ("rigline",), "name": ("title",),
    "temperature": ("ambient",), "size-mm2": ("wire",),
}  # fmt: skip
"""Word -> keys that may be meant, the likeliest first."""


CHOICE_OF_WORD: Final[Mapping[str, str]] = {
    "lithium": "lifepo4", "lfp": "lifepo4", "lithium-iron-phosphate": "lifepo4", "wet": "flooded", "lead": "flooded",
    "lead-acid": "flooded", "t": "class-t",
    "al": "aluminium", "aluminum": "aluminium", "cu": "copper", "cca": "copper-clad",
    "tinned": "copper", "ground": "earth", "pe": "earth", "bonding": "bond", "both": "pair", "plus": "positive",
    "minus": "negative", "neg": "negative", "pos": "positive", "steel": "metal", "grp": "plastic",
}  # fmt: skip
"""Word -> value of a key that takes one of a few words."""


def choice_meant(word: str, choices: Sequence[str]) -> str | None:
    """The choice that a wrong word most likely means."""
    return _meant(word, choices, {key: value for key, value in CHOICE_OF_WORD.items() if value in choices})


def kind_meant(word: str, kinds: Sequence[str]) -> str | None:
    """The kind that a wrong word most likely means."""
    return _meant(word, kinds, KIND_OF_WORD)


def _meant(word: str, choices: Sequence[str], everyday: Mapping[str, str]) -> str | None:
    plain = word.strip().casefold().replace("_", "-").replace(" ", "-")
    if plain in everyday or plain in choices:
        return everyday.get(plain, plain)
    near = nearest(plain, [*choices, *everyday])
    return None if near is None else everyday.get(near, near)


def key_meant(word: str, keys: Sequence[str]) -> str | None:
    """The key that a wrong word most likely means."""
    plain = word.strip().casefold().replace("_", "-").replace(" ", "-")
    known = next((key for key in KEYS_OF_WORD.get(plain, ()) if key in keys), None)
    return (plain if plain in keys else known) or nearest(plain, keys)
