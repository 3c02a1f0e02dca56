"""The kinds of component: one frozen struct each, with its fields, its units and its terminals.

A field is declared once. The last part of its name is its unit; the key that people write in a spec is the rest of
the name with dashes (`max_discharge_a` is written `max-discharge: 100 A`). The reader, the JSON Schema, the docs and
the checks all follow from these declarations.
"""

from rigline.kinds.base import Component, Terminal
from rigline.kinds.registry import KINDS, kind_names

__all__ = ["KINDS", "Component", "Terminal", "kind_names"]
