"""The text of an SVG file: styles as attributes, numbers rounded, attributes in a fixed order, a line for each element.

One pass over the tree; indenting, ordering and writing in passes of their own took three times as long.
"""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

DECIMALS = 3
"""Coordinates are written to a micrometre."""
ORDER = ("xmlns", "id", "class", "role", "width", "height", "viewBox", "x", "y", "cx", "cy", "r", "d", "points")
"""Attributes that stand first; the others follow by name."""
RANKS = {name: f"{rank:02}" for rank, name in enumerate(ORDER)}
NUMBERED = {"x", "y", "cx", "cy", "r", "rx", "ry", "d", "points", "transform", "font-size", "stroke-width"}
NUMBER = re.compile(r"-?\d+\.\d+(?:e[+-]?\d+)?|-?\d+e[+-]?\d+|(?<![\d.])-0(?![\d.])")
DEFAULTS = {"stroke-dasharray:-", "stroke-linecap:butt", "stroke-linejoin:miter", "fill:None"}
"""What schemdraw writes although it is the rule, or no rule at all."""
NEEDS_ESCAPE = re.compile(r'[&<>"\r\n\t]')
ESCAPES = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\r": "&#13;", "\n": "&#10;", "\t": "&#09;"}


def svg_text(root: Element) -> str:
    """The file that holds a tree of elements without mixed content."""
    lines: list[str] = []
    _write(root, "", lines)
    return "\n".join(lines) + "\n"


def _write(element: Element, indent: str, lines: list[str]) -> None:
    start = f"{indent}<{element.tag}{_attributes(element)}"
    text = _escaped_text(element.text or "")
    if len(element):
        lines.append(f"{start}>")
        for child in element:
            _write(child, indent + " ", lines)
        lines.append(f"{indent}</{element.tag}>")
    else:
        lines.append(f"{start}>{text}</{element.tag}>" if text else f"{start} />")


def _attributes(element: Element) -> str:
    found = dict(element.attrib)
    for declaration in found.pop("style", "").split(";"):
        if declaration and declaration not in DEFAULTS:
            name, _, value = declaration.partition(":")
            found[name] = value
    names = sorted(found, key=_rank)
    return "".join([f' {name}="{_escaped(_value(name, found[name]))}"' for name in names])


def _rank(name: str) -> str:
    return RANKS.get(name, name)


def _value(name: str, value: str) -> str:
    return NUMBER.sub(_rounded, value).strip() if name in NUMBERED else value


def _rounded(match: re.Match[str]) -> str:
    text = f"{float(match.group()):.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _escaped(value: str) -> str:
    return NEEDS_ESCAPE.sub(lambda match: ESCAPES[match.group()], value) if NEEDS_ESCAPE.search(value) else value


def _escaped_text(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
