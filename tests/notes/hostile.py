"""A spec whose every free text would be markup in some form of the notes, if anything let it; invented."""

from __future__ import annotations

import json

TEXTS = (
    "<script>alert(1)</script> & \"co\" 'q'",
    "*bold* _it_ |pipe| `tick` ~~gone~~",
    "#let x = 1; #panic() $y^2$ @ref <label>",
    "[link](http://evil.example) ![i](x.png) www.evil.example",
    "\\ \\n [[wiki]] {{braces}} {=html}",
    "- item",
    "1. item",
    "= heading // comment /* more */",
    "--- # --",
    "</td></table><img src=x onerror=alert(1)>",
)


def hostile_spec() -> str:
    """The spec, as JSON, which YAML is too."""
    names = iter(TEXTS * 2)
    spec = {
        "rigline": 1,
        "title": TEXTS[0],
        "revision": "A",
        "profile": "us-rv",
        "places": {"box": {"name": TEXTS[2]}},
        "revisions": [{"revision": "A", "date": "2026-11-20", "by": TEXTS[1], "change": TEXTS[4]}],
        "components": {
            "B1": {"kind": "battery", "name": next(names), "chemistry": "lifepo4", "voltage": "12.8 V",
                   "capacity": "100 Ah", "short-circuit": "2 kA", "place": "box"},
            "F1": {"kind": "fuse", "name": next(names), "style": "class-t", "rating": "60 A", "place": "box"},
            "DC1": {"kind": "fuse-block", "name": next(names), "rating": "100 A"},
            "GND": {"kind": "chassis", "name": TEXTS[9]},
            "FA": {"kind": "fuse", "name": next(names), "style": "blade", "rating": "5 A"},
            "FB": {"kind": "fuse", "name": next(names), "style": "blade", "rating": "5 A"},
            "LT1": {"kind": "dc-load", "name": next(names), "power": "20 W"},
            "LT2": {"kind": "dc-load", "name": next(names), "power": "20 W"},
            "LT3": {"kind": "dc-load", "name": next(names), "power": "1 W"},
            "LT4": {"kind": "dc-load", "name": next(names), "power": "1 W"},
            "FC": {"kind": "fuse", "name": next(names), "style": "blade", "rating": "5 A"},
            "FD": {"kind": "fuse", "style": "blade", "rating": "5 A"},
        },
        "runs": [
            {"id": "W1", "path": ["B1", "F1", "DC1"], "lengths": ["0.1 m", "0.6 m"], "wire": "4 AWG"},
            {"id": "W2", "path": ["DC1", "FA", "LT1"], "length": "2 m", "wire": "14 AWG"},
            {"id": "W3", "path": ["DC1", "FB", "LT2"], "length": "2 m", "wire": "14 AWG"},
            {"id": "W4", "path": ["DC1", "FC", "LT3"], "length": "2 m", "wire": "14 AWG"},
            {"id": "W5", "path": ["DC1", "FD", "LT4"], "length": "2 m", "wire": "14 AWG"},
            {"id": "W6", "path": ["DC1-", "GND"], "length": "0.3 m", "carries": "bond", "wire": "8 AWG"},
        ],
    }  # fmt: skip
    return json.dumps(spec)
