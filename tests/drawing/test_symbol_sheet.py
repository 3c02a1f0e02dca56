"""The gallery's picture of a symbol set."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from rigline.drawing.legend import KIND_NAMES
from rigline.drawing.symbol_sheet import symbol_sheet


@pytest.mark.parametrize("style", ("iec", "ieee"))
def test_every_symbol_stands_on_the_sheet_with_its_name(style: str) -> None:
    root = ElementTree.fromstring(symbol_sheet(style))
    texts = {element.text for element in root.iter("{http://www.w3.org/2000/svg}text")}
    assert set(KIND_NAMES.values()) - texts == set()
