"""The two symbol sets: IEC 60617 and IEEE Std 315, each complete for every kind of component.

Which kind looks how is data, one module per family. Nothing here knows the drawing library.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from rigline.drawing.symbol import Symbol
from rigline.drawing.symbols import (
    converters,
    distribution,
    earthing,
    instruments,
    loads,
    protection,
    references,
    sources,
)

_FAMILIES = (sources, converters, distribution, protection, instruments, earthing, loads)

SETS: Mapping[str, Mapping[str, Symbol]] = MappingProxyType(
    {
        "iec": MappingProxyType({symbol.kind: symbol for family in _FAMILIES for symbol in family.IEC}),
        "ieee": MappingProxyType({symbol.kind: symbol for family in _FAMILIES for symbol in family.IEEE}),
    }
)
"""Style, then kind, to symbol."""

REFERENCES: Mapping[str, Symbol] = MappingProxyType({symbol.kind: symbol for symbol in references.REFERENCES})
"""What stands for things that are not shown, by kind; no kinds of component."""

ALL_KINDS: tuple[str, ...] = tuple(SETS["iec"])
"""Every kind that has a symbol, by family."""


def symbol_for(kind: str, style: str = "iec") -> Symbol:
    """The symbol of a kind of component in a style: iec or ieee.

    >>> symbol_for("fuse").terminals["out"].y_mm
    5.0
    """
    return REFERENCES[kind] if kind in REFERENCES else SETS[style][kind]


def symbols_of(style: str) -> Mapping[str, Symbol]:
    """Everything that may stand on a drawing in a style: the components' symbols and the references."""
    return {**SETS[style], **REFERENCES}
